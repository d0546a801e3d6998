import { describe, expect, it } from "vitest";
import { kindInWords, programIndex, setupOf } from "./findings";

const setups = [
  { name: "a", programs: [{ file: "programs/01-a-flat-6.nc" }] },
  { name: "b", programs: [{ file: "programs/02-b-flat-6.nc" }, { file: "programs/03-b-flat-3.nc" }] },
];

describe("findings", () => {
  it("find their program, with or without its folder", () => {
    expect(setupOf({ program: "03-b-flat-3.nc" }, setups)?.name).toBe("b");
    expect(programIndex({ program: "programs/03-b-flat-3.nc" }, setups[1]?.programs ?? [])).toBe(1);
    expect(setupOf({ program: "elsewhere.nc" }, setups)).toBeUndefined();
  });
  it("are said in words, unknown kinds as they are", () => {
    expect(kindInWords("gouge")).toBe("Cuts into the part");
    expect(kindInWords("new-kind")).toBe("new-kind");
  });
});
