import { describe, expect, it } from "vitest";
import { countUpTo, loadAt, loadCurve, plannedMost, programSpans, timeNear, timeOfLine, tipAt } from "./replay";

// Two programs: the first has lines 5 and 7 (7 an arc of two points), the second line 3.
const path = {
  t: [0, 2, 3, 4, 10],
  x: [0, 20, 30, 30, 30],
  y: [0, 0, 0, 10, 10],
  z: [5, 5, 5, 5, -1],
  program: [0, 0, 0, 0, 1],
  line: [5, 5, 7, 7, 3],
  rapid: [1, 1, 0, 0, 0],
};

describe("replay", () => {
  it("counts entries by halving", () => {
    expect([-1, 0, 1, 2, 9, 10, 11].map((v) => countUpTo(path.t, v))).toEqual([0, 1, 1, 2, 4, 5, 5]);
    expect(countUpTo([], 3)).toBe(0);
  });

  it("finds the tip between points", () => {
    expect(tipAt(path, 1)).toEqual({ at: [10, 0, 5], program: 0, line: 5, rapid: true, index: 1 });
    expect(tipAt(path, 3.5)).toMatchObject({ at: [30, 5, 5], line: 7, rapid: false });
    expect(tipAt(path, 2)).toMatchObject({ line: 5, at: [20, 0, 5] });
    expect(tipAt(path, 4)).toMatchObject({ line: 7, program: 0 });
    expect(tipAt(path, 7)?.at[2]).toBeCloseTo(2, 12);
    expect(tipAt(path, -5)?.at).toEqual([0, 0, 5]);
    expect(tipAt(path, 99)?.at).toEqual([30, 10, -1]);
    expect(tipAt({ t: [], x: [], y: [], z: [], program: [], line: [], rapid: [] }, 1)).toBeUndefined();
  });

  it("gives the time of a line, also of one that does not move", () => {
    expect(timeOfLine(path, 0, 5)).toBe(2);
    expect(timeOfLine(path, 0, 6)).toBe(2);
    expect(timeOfLine(path, 0, 7)).toBe(4);
    expect(timeOfLine(path, 0, 1)).toBe(0);
    expect(timeOfLine(path, 1, 3)).toBe(10);
    expect(timeOfLine(path, 2, 3)).toBeUndefined();
  });

  it("gives the time at which the tip is nearest to a place", () => {
    expect(timeNear(path, 0, 5, [10, 0, 5])).toBeCloseTo(1, 9);
    expect(timeNear(path, 0, 99, [30, 5, 5])).toBeCloseTo(3.5, 9);
    expect(timeNear(path, 7, 1, [0, 0, 0])).toBeUndefined();
  });

  it("spans each program", () => {
    expect(programSpans(path, 2)).toEqual([{ from: 0, to: 4 }, { from: 4, to: 10 }]);
    expect(programSpans(path, 3)[2]).toEqual({ from: 10, to: 10 });
  });

  const loads = { t: [1, 2, 6], end: [2, 3, 7], force: [5, 90, 7], power: [50, 900, 70], line: [1, 1, 1], program: [0, 0, 0] };
  it("looks loads up, and finds none between cuts", () => {
    expect(loadAt(loads, 2.5)).toEqual({ force: 90, power: 900 });
    expect(loadAt(loads, 4)).toBeUndefined();
    expect(loadAt(loads, 0)).toBeUndefined();
    expect(loadAt({ t: [], end: [], force: [], power: [], line: [], program: [] }, 1.5)).toBeUndefined();
  });

  it("draws each load as long as it lasts, and none between cuts", () => {
    expect(loadCurve({ loads })).toEqual({
      t: [1, 2, 2, 3, 3, 6, 7],
      force: [5, 5, 90, 90, null, 7, 7],
      power: [50, 50, 900, 900, null, 70, 70],
    });
  });

  it("knows the most that was planned", () => {
    const feeds = [
      { material: "oak", cutter: "a", force: 10, power: 100 },
      { material: "oak", cutter: "a", force: 20, power: 50 },
      { material: "oak", cutter: "b", force: 99, power: 999 },
    ];
    expect(plannedMost(feeds, "oak", ["a"])).toEqual({ force: 20, power: 100 });
    expect(plannedMost(feeds, "elm", ["a"])).toEqual({ force: 0, power: 0 });
  });
});
