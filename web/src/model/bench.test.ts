import { describe, expect, it } from "vitest";
import { arranged } from "./bench";

const room = { width: 900, height: 600, gap: 20, header: 30, narrowest: 0, least: 0.3 };
const sizes = [[400, 180], [400, 180], [300, 190], [560, 260], [240, 160], [560, 480]] as const;

describe("bench", () => {
  it("keeps the given order where it can, and fills beside a tall sheet", () => {
    const a = arranged([[400, 100], [400, 100], [400, 100]], { ...room, height: 280, least: 1, width: 820 });
    expect(a.slots.map((s) => [s.left, s.top])).toEqual([[0, 0], [420, 0], [0, 150]]);
    const b = arranged([[100, 100], [100, 100], [300, 400]], { ...room, width: 420, height: 440 });
    expect(b.scale).toBeGreaterThan(0.9);
  });

  it("is as large as its room lets it be, all to one scale", () => {
    const a = arranged(sizes, room);
    expect(a.height).toBeLessThanOrEqual(600);
    a.slots.forEach((s, i) => {
      expect(s.width / a.scale).toBeCloseTo(sizes[i]?.[0] ?? 0, 9);
      expect(s.left + s.width).toBeLessThanOrEqual(900.1);
      a.slots.slice(0, i).forEach((o) => {
        const apart = s.left >= o.left + o.width || o.left >= s.left + s.width || s.top >= o.top + o.height || o.top >= s.top + s.height;
        expect(apart).toBe(true);
      });
    });
  });

  it("leaves every sheet room for its name", () => {
    expect(arranged([[40, 40], [400, 400]], { ...room, narrowest: 150 }).slots[0]?.width).toBe(150);
  });

  it("gets longer rather than too small, and never wider", () => {
    const a = arranged(sizes, { ...room, height: 100 });
    expect(a.scale).toBeCloseTo(0.3, 4);
    expect(a.height).toBeGreaterThan(100);
    expect(arranged([[6000, 100]], room).scale).toBeLessThanOrEqual(0.3);
    expect(arranged([], room).slots).toEqual([]);
  });
});
