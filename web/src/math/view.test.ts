import { expect, test } from "vitest";
import { fitted, nextInDirection, zoomed } from "./view";

test("a fitted view holds its box, in the window's shape", () => {
  const view = fitted({ x: 0, y: 0, width: 460, height: 400 }, 2, 0);
  expect(view.width / view.height).toBeCloseTo(2);
  expect(view).toEqual({ x: -170, y: 0, width: 800, height: 400 });
});

test("zooming keeps the point under the pointer and its bounds", () => {
  const view = { x: 0, y: 0, width: 100, height: 50 };
  const near = zoomed(view, 0.5, [80, 10], 1, 1000);
  expect((80 - near.x) / near.width).toBeCloseTo(0.8);
  expect((10 - near.y) / near.height).toBeCloseTo(0.2);
  expect(zoomed(view, 1e-9, [0, 0], 5, 1000).width).toBe(5);
});

test("arrow keys go to the neighbour on that side", () => {
  const centres = [[0, 0], [10, 1], [30, 0], [0, 10]] as const;
  expect(nextInDirection(centres, 0, [1, 0])).toBe(1);
  expect(nextInDirection(centres, 1, [1, 0])).toBe(2);
  expect(nextInDirection(centres, 0, [0, 1])).toBe(3);
  expect(nextInDirection(centres, 0, [-1, 0])).toBe(-1);
});
