import { describe, expect, it } from "vitest";
import { linesOf, scrollToLine, windowOf, wordsOf } from "./programText";

describe("program text", () => {
  it("splits lines of every ending, without a last empty one", () => {
    expect(linesOf("G21\r\nG90\nM2\n")).toEqual(["G21", "G90", "M2"]);
    expect(linesOf("")).toEqual([]);
  });

  it("names each word and loses no character", () => {
    for (const line of ["G1 X10.5 Y-3 F800", "(profile slate)", "N10 G2 X1 I.5 J0 ; back", "%", "S24000 M3", "12 x ("]) {
      expect(wordsOf(line).map((w) => w.text).join("")).toBe(line);
    }
    expect(wordsOf("G1 X10 F800 (so)").map((w) => w.kind)).toEqual(["motion", "place", "feed", "comment"]);
    expect(wordsOf("S24000 M3").map((w) => w.kind)).toEqual(["speed", "speed"]);
  });

  it("shows what is in view and some beyond", () => {
    expect(windowOf(10000, 20, 2000, 400, 5)).toEqual({ first: 95, end: 125 });
    expect(windowOf(3, 20, 0, 400, 5)).toEqual({ first: 0, end: 3 });
    expect(windowOf(0, 20, 100, 400, 5)).toEqual({ first: 0, end: 0 });
  });

  it("scrolls only to lines that are not in view", () => {
    expect(scrollToLine(105, 20, 2000, 400)).toBeUndefined();
    expect(scrollToLine(500, 20, 2000, 400)).toBe(9800);
    expect(scrollToLine(0, 20, 2000, 400)).toBe(0);
  });
});
