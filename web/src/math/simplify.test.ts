import { describe, expect, it } from "vitest";
import type { Point } from "./placement";
import { pointToSegment } from "./polygon";
import { simplifiedLine, simplifiedRing } from "./simplify";

const circle = (n: number, r: number): Point[] =>
  Array.from({ length: n }, (_, i) => [r * Math.cos((2 * Math.PI * i) / n), r * Math.sin((2 * Math.PI * i) / n)]);

describe("simplify", () => {
  it("drops what lies on the line and keeps the ends", () => {
    expect(simplifiedLine([[0, 0], [1, 0.001], [2, 0], [3, 0]], 0.01)).toEqual([[0, 0], [3, 0]]);
    expect(simplifiedLine([[0, 0], [1, 1], [2, 0]], 0.01)).toHaveLength(3);
  });

  it("keeps every dropped point within the tolerance", () => {
    const full = circle(2000, 80);
    const few = simplifiedRing(full, 0.05);
    expect(few.length).toBeLessThanOrEqual(128);
    for (const p of full) {
      const d = Math.min(...few.map((a, i) => pointToSegment(p, a, few[(i + 1) % few.length] ?? a)));
      expect(d).toBeLessThanOrEqual(0.05 + 1e-9);
    }
  });

  it("leaves small rings alone", () => {
    expect(simplifiedRing([[0, 0], [1, 0], [0, 1]], 5)).toHaveLength(3);
    expect(simplifiedRing([], 1)).toEqual([]);
  });
});
