import { describe, expect, it } from "vitest";
import type { Ring } from "./placement";
import { areaOf, depthWithin, inside, labelPoint, pointToSegment, segmentsCross, signedArea } from "./polygon";

const square: Ring = [[0, 0], [10, 0], [10, 10], [0, 10]];
const hole: Ring = [[2, 2], [2, 8], [8, 8], [8, 2]];
// A "U": its middle is outside.
const horseshoe: Ring = [[0, 0], [30, 0], [30, 40], [20, 40], [20, 10], [10, 10], [10, 40], [0, 40]];

describe("polygon", () => {
  it("measures areas with their sign, and with holes", () => {
    expect(signedArea(square)).toBe(100);
    expect(signedArea([...square].reverse())).toBe(-100);
    expect(areaOf([square, hole])).toBe(64);
  });

  it("knows inside from outside and from holes", () => {
    expect(inside([square], [5, 5])).toBe(true);
    expect(inside([square, hole], [5, 5])).toBe(false);
    expect(inside([square, hole], [1, 5])).toBe(true);
    expect(inside([square], [11, 5])).toBe(false);
  });

  it("measures to segments, also to degenerate ones", () => {
    expect(pointToSegment([0, 5], [-1, 0], [1, 0])).toBe(5);
    expect(pointToSegment([4, 4], [-1, 0], [1, 0])).toBe(5);
    expect(pointToSegment([3, 4], [0, 0], [0, 0])).toBe(5);
  });

  it("sees segments cross", () => {
    expect(segmentsCross([0, 0], [2, 2], [0, 2], [2, 0])).toBe(true);
    expect(segmentsCross([0, 0], [1, 1], [5, 0], [6, 1])).toBe(false);
  });

  it("gives depth positive inside and negative outside", () => {
    expect(depthWithin([square], [5, 4])).toBe(4);
    expect(depthWithin([square], [5, -3])).toBe(-3);
  });

  it("puts labels inside, where there is most room", () => {
    const { at, room } = labelPoint([horseshoe], 0.1);
    expect(inside([horseshoe], at)).toBe(true);
   
    let best = 0;
    for (let x = 0; x <= 30; x += 0.1) for (let y = 0; y <= 40; y += 0.1) best = Math.max(best, depthWithin([horseshoe], [x, y]));
    expect(room).toBeGreaterThan(best - 0.1);
    expect(room).toBeLessThan(best + 0.1);
  });

  it("does not fail on nothing", () => {
    expect(labelPoint([])).toEqual({ at: [0, 0], room: 0 });
    expect(signedArea([])).toBe(0);
  });
});
