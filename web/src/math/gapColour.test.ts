import { expect, test } from "vitest";
import { gapSign, roundScale } from "./gapColour";

test("narrow and wide differ in colour, weight and dash", () => {
  const narrow = gapSign(-0.01, 0.01);
  const wide = gapSign(0.02, 0.01);
  expect(narrow.share).toBe(-1);
  expect(wide.share).toBe(1);
  expect(narrow.colour).not.toBe(wide.colour);
  expect(narrow.dash).not.toBe(wide.dash);
  expect(wide.weight).toBeGreaterThan(gapSign(0.001, 0.01).weight);
});

test("scales end at round numbers", () => {
  expect(roundScale([0.0012, -0.0031])).toBeCloseTo(0.005);
  expect(roundScale([0.3])).toBeCloseTo(0.5);
  expect(roundScale([0.01])).toBeCloseTo(0.01);
  expect(roundScale([])).toBeCloseTo(0.005);
});
