import { describe, expect, it } from "vitest";
import { axesOf, eyeOf, nearer, overview, panned, turned, type Orbit } from "./orbit";

const view: Orbit = { x: 100, y: 50, z: 0, distance: 200, turn: 0, tilt: 30 };

describe("orbit", () => {
  it("has axes at right angles", () => {
    for (const turn of [0, 37, 200])
      for (const tilt of [5, 45, 90]) {
        const { right, up, back } = axesOf({ ...view, turn, tilt });
        const dot = (a: number[], b: number[]) => a.reduce((s, v, i) => s + v * (b[i] ?? 0), 0);
        for (const [a, b] of [[right, up], [up, back], [right, back]] as const) expect(dot(a, b)).toBeCloseTo(0, 12);
        for (const a of [right, up, back]) expect(dot(a, a)).toBeCloseTo(1, 12);
      }
  });

  it("stands in front of the bed at turn 0, above it at tilt 90", () => {
    const [x, y, z] = eyeOf(view);
    expect([x, y, z].map((v) => Math.round(v * 10) / 10)).toEqual([100, -123.2, 100]);
    expect(eyeOf({ ...view, tilt: 90 })[2]).toBeCloseTo(200, 9);
  });

  it("never goes below the bed, and turns round and round", () => {
    expect(turned(view, 0, -100).tilt).toBe(5);
    expect(turned(view, 0, 100).tilt).toBe(90);
    expect(turned(view, -10, 0).turn).toBe(350);
  });

  it("pans along the view's right, nears within bounds", () => {
    expect(panned(view, 0.1, 0, 40).x).toBeLessThan(100);
    expect(panned(view, 0.1, 0, 40).y).toBeCloseTo(50, 12);
    expect(panned(view, 0, 0.1, 40).y).toBeLessThan(50);
    expect(nearer(view, 0.001, 20, 900).distance).toBe(20);
    expect(nearer(view, 1000, 20, 900).distance).toBe(900);
  });

  it("sees the whole sheet", () => {
    for (const [w, h] of [[600, 300], [200, 600]] as const) {
      const o = overview(w, h, 1.6, 40);
      const { right, up, back } = axesOf(o);
      const eye = eyeOf(o);
      for (const corner of [[0, 0, 0], [w, 0, 0], [0, h, 0], [w, h, 0]]) {
        const d = corner.map((v, i) => v - (eye[i] ?? 0));
        const dot = (a: number[]) => a.reduce((s, v, i) => s + v * (d[i] ?? 0), 0);
        const depth = -dot(back);
        const half = Math.tan((20 * Math.PI) / 180);
        expect(Math.abs(dot(up) / depth / half)).toBeLessThan(1);
        expect(Math.abs(dot(right) / depth / half / 1.6)).toBeLessThan(1);
      }
    }
  });
});
