import { describe, expect, it } from "vitest";
import { heightAt, heightFieldOf, meshOf, withSides } from "./heights";

const field = (z: number[], columns: number, rows: number) => {
  const made = heightFieldOf({ x0: 0, y0: 0, cell: 2, columns, rows }, new Float32Array(z));
  if (!made) throw new Error("no field");
  return made;
};

describe("height field", () => {
  it("refuses a body that does not fit its header", () => {
    const sound = { x0: 0, y0: 0, cell: 1, columns: 3, rows: 3 };
    expect(heightFieldOf(sound, new Float32Array(9))).toBeDefined();
    expect(heightFieldOf(sound, new Float32Array(8))).toBeUndefined();
    expect(heightFieldOf(null, new Float32Array(0))).toBeUndefined();
    expect(heightFieldOf({ ...sound, rows: "3" }, new Float32Array(9))).toBeUndefined();
    expect(heightFieldOf({ ...sound, cell: 0 }, new Float32Array(9))).toBeUndefined();
  });

  it("gives the height at the nearest point", () => {
    const f = field([1, 2, 3, 4], 2, 2);
    expect(heightAt(f, 0.5, 0.5)).toBe(1);
    expect(heightAt(f, 2.9, 2.9)).toBe(4);
    expect(heightAt(f, 3.1, 0)).toBeUndefined();
  });

  it("puts a vertex at every point, and depth below the top", () => {
    const mesh = meshOf(field([6, 6, 6, 4, 4, 4], 3, 2), 6);
    expect(mesh.positions.slice(0, 3)).toEqual(new Float32Array([0, 0, 6]));
    expect([...mesh.depths]).toEqual([0, 0, 0, 2, 2, 2]);
    expect(mesh.indices).toHaveLength(12);
  });

  it("turns all triangles upward", () => {
    const mesh = meshOf(field([6, 5, 4, 6, 1, 4, 2, 5, 3], 3, 3), 6);
    for (let i = 0; i < mesh.indices.length; i += 3) {
      const [a, b, c] = [0, 1, 2].map((k) => {
        const v = mesh.indices[i + k] ?? 0;
        return [mesh.positions[3 * v] ?? 0, mesh.positions[3 * v + 1] ?? 0] as const;
      });
      if (!a || !b || !c) throw new Error("no corner");
      expect((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])).toBeGreaterThan(0);
    }
  });

  it("leaves a hole where all four corners are cut through", () => {
    expect(meshOf(field([0, 0, 0, 0], 2, 2), 6).indices).toHaveLength(0);
    expect(meshOf(field([0, 0, 0, 6], 2, 2), 6).indices).toHaveLength(6);
  });

  it("gives the stock upright sides down to the bed", () => {
    const mesh = meshOf(withSides(field([6, 6, 6, 6], 2, 2)), 6);
    expect(mesh.indices).toHaveLength(6 * 9);
    for (let v = 0; v < 16; ++v) {
      expect([0, 2]).toContain(mesh.positions[3 * v]);
      expect([0, 2]).toContain(mesh.positions[3 * v + 1]);
    }
    expect([...mesh.positions].filter((_, i) => i % 3 === 2 && mesh.positions[i] === 6)).toHaveLength(4);
  });
});
