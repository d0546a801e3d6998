import { describe, expect, it } from "vitest";
import { borderDistance, lacking, lackingAtEdge, outlineOf, placedOutline } from "./apart";
import type { Point, Ring } from "./placement";
import { pointToSegment } from "./polygon";

const box = (x: number, y: number, w: number, h: number): Ring => [[x, y], [x + w, y], [x + w, y + h], [x, y + h]];
const blob = (seed: number): Point[] =>
  Array.from({ length: 90 }, (_, i) => {
    const a = (2 * Math.PI * i) / 90;
    const r = 20 + 5 * Math.sin(3 * a + seed) + 3 * Math.cos(7 * a - seed);
    return [r * Math.cos(a), r * Math.sin(a)];
  });

describe("distance between areas", () => {
  it("is that of boxes, and no more than the limit", () => {
    const a = outlineOf([box(0, 0, 10, 10)]);
    expect(borderDistance(a, outlineOf([box(13, 0, 5, 5)]), 20)).toBeCloseTo(3, 12);
    expect(borderDistance(a, outlineOf([box(13, 14, 5, 5)]), 20)).toBeCloseTo(5, 12);
    expect(borderDistance(a, outlineOf([box(100, 0, 5, 5)]), 20)).toBe(20);
    expect(borderDistance(a, outlineOf([box(5, 5, 50, 50)]), 20)).toBe(0);
  });

  it("agrees with trying every pair of edges", () => {
    for (let seed = 0; seed < 12; ++seed) {
      const a = blob(seed);
      const b = blob(seed * 2 + 1).map(([x, y]): Point => [x + 55 + seed, y - 10 + 3 * seed]);
      let best = Infinity;
      for (const [one, other] of [[a, b], [b, a]] as const)
        for (const p of one)
          other.forEach((q, i) => (best = Math.min(best, pointToSegment(p, q, other[(i + 1) % other.length] ?? q))));
      expect(borderDistance(outlineOf([a]), outlineOf([b]), 1000)).toBeCloseTo(best, 9);
    }
  });

  it("lacks all of what is asked when one lies within the other", () => {
    const large = outlineOf([box(0, 0, 100, 100)]);
    const small = outlineOf([box(40, 40, 5, 5)]);
    expect(lacking(large, small, 4)).toBe(4);
    expect(lacking(small, large, 4)).toBe(4);
    expect(lacking(small, outlineOf([box(48, 40, 5, 5)]), 4)).toBeCloseTo(1, 12);
    expect(lacking(small, outlineOf([box(60, 40, 5, 5)]), 4)).toBe(0);
  });

  it("adds how far a part is out at the sheet's edge", () => {
    const sheet = outlineOf([box(0, 0, 100, 50)]);
    const part = [box(0, 0, 10, 10)];
    expect(lackingAtEdge(placedOutline(part, { x: 20, y: 20, angle: 0 }), sheet, 8)).toBe(0);
    expect(lackingAtEdge(placedOutline(part, { x: 5, y: 20, angle: 0 }), sheet, 8)).toBeCloseTo(3, 12);
    expect(lackingAtEdge(placedOutline(part, { x: -4, y: 20, angle: 0 }), sheet, 8)).toBeCloseTo(12, 12);
  });

  it("minds the slanted border of an offcut", () => {
    const offcut = outlineOf([[[0, 0], [300, 0], [300, 120], [240, 190], [0, 190]]]);
    const corner = placedOutline([box(0, 0, 20, 20)], { x: 270, y: 150, angle: 0 });
    expect(lackingAtEdge(corner, offcut, 8)).toBeGreaterThan(8);
  });
});
