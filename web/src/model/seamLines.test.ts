import { expect, test } from "vitest";
import type { Drawing, Plan, Seam } from "./api";
import { seamLines, sortedSeams, spotPlace, worstError } from "./seamLines";

const seam = (a: string, b: string, gap_min: number, gap_max: number): Seam => ({
  a, b, length: 10, asked: 0.3, gap_min, gap_mean: 0.3, gap_max, moved_max: 0, spots: [],
});

test("the larger error counts, with its sign", () => {
  expect(worstError({ asked: 0.3, gap_min: 0.28, gap_max: 0.305 })).toBeCloseTo(-0.02);
  expect(worstError({ asked: 0.3, gap_min: 0.299, gap_max: 0.31 })).toBeCloseTo(0.01);
});

test("a spot's place is the middle of its box", () => {
  expect(spotPlace({ why: "junction", low: [46, 237], high: [47, 239] })).toEqual([46.5, 238]);
});

test("lines of a region in parts go to the part they lie on", () => {
  const box = (x: number): [number, number][] => [[x, 0], [x + 10, 0], [x + 10, 10], [x, 10]];
  const piece = (id: string, region: string, x: number) => ({ id, region, outline: [box(x)] });
  const plan = {
    pieces: [piece("g.1", "g", 0), piece("g.2", "g", 100), piece("h", "h", 10)],
    seams: [seam("g.1", "tray", 0.3, 0.3), seam("g.2", "tray", 0.3, 0.3), seam("g.1", "h", 0.29, 0.3)],
  } as unknown as Plan;
  const drawing = {
    seams: [
      { a: "g", b: "outside", length: 10, points: [[0, 0], [0, 5], [0, 10]] },
      { a: "g", b: "outside", length: 10, points: [[110, 0], [110, 5], [110, 10]] },
      { a: "g", b: "h", length: 10, points: [[10, 0], [10, 5], [10, 10]] },
    ],
  } as unknown as Drawing;
  const [first, second, third] = seamLines(plan, drawing);
  expect(first?.lines).toEqual([[[0, 0], [0, 5], [0, 10]]]);
  expect(second?.lines).toEqual([[[110, 0], [110, 5], [110, 10]]]);
  expect(third?.lines).toHaveLength(1);
  expect(sortedSeams([first!, second!, third!], "error", true)[0]?.id).toBe("g.1 / h");
});
