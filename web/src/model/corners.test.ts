import { expect, test } from "vitest";
import { corners, cornersText } from "./corners";

test("corners are read back as written", () => {
  const ring: [number, number][] = [[0, 0], [300, 0], [300, 120.25]];
  expect(corners(cornersText(ring))).toEqual(ring);
});

test("what is not three pairs is refused", () => {
  expect(corners("0 0, 1 1")).toBeNull();
  expect(corners("0 0, 1 1, 2")).toBeNull();
  expect(corners("0 0, 1 1, 2 x")).toBeNull();
});
