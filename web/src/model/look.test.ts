import { describe, expect, it } from "vitest";
import { looksOf } from "./look";

describe("looks", () => {
  it("differ between kinds by form, within a kind by angle or spacing", () => {
    const looks = looksOf([
      { name: "oak", kind: "wood" }, { name: "elm", kind: "wood" }, { name: "brass", kind: "metal" },
      { name: "steel", kind: "metal" }, { name: "cheese", kind: "food" },
    ]);
    const form = (name: string) => looks.get(name)?.form;
    expect([form("oak"), form("brass"), form("cheese")]).toEqual(["grain", "pairs", "lines"]);
    const sign = (name: string) => `${form(name)} ${looks.get(name)?.angle} ${looks.get(name)?.spacing}`;
    expect(new Set([...looks.keys()].map(sign)).size).toBe(5);
  });
});
