import { expect, test } from "vitest";
import type { Ring } from "../model/api";
import { gapAt, gapProfile, measured, pointAlong } from "./gap";

const box = (x0: number, y0: number, x1: number, y1: number): Ring => [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
const left = { rings: [box(0, 0, 9.85, 20)], hollow: false };
const right = { rings: [box(10.15, 0, 20, 20)], hollow: false };

test("two stepped-back edges leave the clearance asked for", () => {
  expect(gapAt(left, right, [10, 10])).toBeCloseTo(0.3);
});

test("a border that was eased away still shows the gap between the edges", () => {
  expect(gapAt(left, right, [9.5, 10])).toBeCloseTo(0.3);
});

test("the tray is the body around its wall", () => {
  const wall = { rings: [box(-0.3, -0.3, 20.3, 20.3)], hollow: true };
  const piece = { rings: [box(0.3, 0.3, 19.7, 19.7)], hollow: false };
  expect(gapAt(piece, wall, [0, 10])).toBeCloseTo(0.6);
});

test("walking along a line", () => {
  const line: [number, number][] = [[0, 0], [3, 0], [3, 4]];
  const along = measured(line);
  expect(along.length).toBe(7);
  expect(pointAlong(line, along, 5).at).toEqual([3, 2]);
  expect(pointAlong(line, along, 99).at).toEqual([3, 4]);
  expect(gapProfile(left, right, [[10, 2], [10, 18]], 5)).toHaveLength(5);
});
