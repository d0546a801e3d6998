import { describe, expect, test } from "vitest";
import { count, placeOf, placeWord, type Known } from "./places";

const nothing: Known = { state: null, job: null, drawing: null, plan: null, proof: null };

describe("the path of places", () => {
  test("an address names its place, anything else is the drawing", () => {
    expect(placeOf("#/proof")).toBe("proof");
    expect(placeOf("#proof")).toBe("proof");
    expect(placeOf("")).toBe("drawing");
    expect(placeOf("#/nowhere")).toBe("drawing");
  });

  test("an empty page asks for a drawing and promises nothing else", () => {
    expect(placeWord.drawing(nothing)).toEqual({ text: "no drawing yet", tone: "open" });
    expect(placeWord.proof(nothing).tone).toBe("plain");
  });

  test("findings are told by number", () => {
    const one = { kind: "gouge", program: "", line: 1, at: [0, 0, 0] as [number, number, number], value: 0, bound: 0, text: "" };
    const proof = { schema: "kerfwright.proof/1" as const, verdict: "findings" as const, setups: [], parts: [], findings: [one] };
    expect(placeWord.proof({ ...nothing, proof })).toEqual({ text: "1 finding", tone: "finding" });
  });

  test("count says one and many", () => {
    expect(count(1, "region")).toBe("1 region");
    expect(count(0, "region")).toBe("0 regions");
  });
});
