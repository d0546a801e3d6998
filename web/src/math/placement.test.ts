import { describe, expect, it } from "vitest";
import { boxOf, placed, placedRing, samePlacement, tidyAngle, turnedAbout, written } from "./placement";

describe("placement", () => {
  it("rotates about the origin first, then shifts", () => {
    const [x, y] = placed([2, 0], { x: 10, y: 20, angle: 90 });
    expect(x).toBeCloseTo(10, 12);
    expect(y).toBeCloseTo(22, 12);
    expect(placedRing([[2, 0]], { x: 10, y: 20, angle: 90 })[0]).toEqual([x, y]);
  });

  it("keeps the pivot where it lies when turned", () => {
    const before = { x: 40, y: -7, angle: 33 };
    const pivot = [12, 55] as const;
    for (const angle of [0, 90, 200, -45, 393]) {
      const after = turnedAbout(before, pivot, angle);
      expect(placed(pivot, after)[0]).toBeCloseTo(placed(pivot, before)[0], 9);
      expect(placed(pivot, after)[1]).toBeCloseTo(placed(pivot, before)[1], 9);
      expect(tidyAngle(after.angle - angle)).toBeCloseTo(0, 9);
    }
  });

  it("gives angles in (-180, 180]", () => {
    expect([180, -180, 540, 190, -190, 0].map(tidyAngle)).toEqual([180, 180, 180, -170, 170, 0]);
  });

  it("writes whole hundredths, and no negative zero", () => {
    expect(written({ x: 1.2345, y: -0.001, angle: 359.999 })).toEqual({ x: 1.23, y: 0, angle: 0 });
    expect(samePlacement({ x: 1, y: 2, angle: 180 }, { x: 1, y: 2, angle: -180 })).toBe(true);
  });

  it("gives an empty box for nothing", () => {
    expect(boxOf([])).toEqual({ x0: 0, y0: 0, x1: 0, y1: 0 });
    expect(boxOf([[3, 1], [-1, 5]])).toEqual({ x0: -1, y0: 1, x1: 3, y1: 5 });
  });
});
