import { describe, expect, it } from "vitest";
import type { Sheet } from "./api";
import { allowedAngles, entryOf, freeArea, lyingParts, nextAngle, partShape, pivotOnSheet } from "./boards";

const sheet: Sheet = {
  name: "oak-a", material: "oak", size: [400, 200], offcut: false, outline: [[[0, 0], [400, 0], [400, 200], [0, 200]]],
  thickness: 6, measured: [], grain: 0, hold: ["skin"], clamps: [], price: null,
};
const piece = (id: string) => ({
  id, material: "oak", thickness: 6, sheet: "oak-a", cutter: "flat-6", margin: 1.5,
  placement: { x: 50, y: 60, angle_deg: 180 },
  outline: [[[0, 0], [40, 0], [40, 20], [0, 20]] as [number, number][]],
});

describe("boards", () => {
  it("gives a part the room its slot needs", () => {
    const feeds = [
      { material: "oak", cutter: "flat-6", step: "profile", slot_width: 8 },
      { material: "oak", cutter: "flat-6", step: "finish", slot_width: 20 },
    ];
    expect(partShape(piece("a"), feeds, 6).kerf).toBeCloseTo(9.2, 12);
    expect(partShape(piece("a"), [], 6).kerf).toBeCloseTo(7.2, 12);
  });

  it("puts locked places over proposed ones over the plan's", () => {
    const entry = (id: string, x: number) => ({ piece: id, sheet: "oak-b", at: [x, 1] as [number, number], angle: 5 });
    const lying = lyingParts([piece("a"), piece("b"), piece("c")], [entry("a", 10), entry("b", 20)], [entry("a", 30)]);
    expect(lying.map((l) => [l.piece, l.sheet, l.placement.x, l.placement.angle, l.locked])).toEqual([
      ["a", "oak-b", 30, 5, true],
      ["b", "oak-b", 20, 5, false],
      ["c", "oak-a", 50, 180, false],
    ]);
    const first = lying[0];
    expect(first && entryOf(first)).toEqual(entry("a", 30));
  });

  it("counts half of each slot as taken", () => {
    const part = partShape(piece("a"), [], 4.8); // kerf 6, border 120
    expect(freeArea(sheet, [part])).toBeCloseTo(80000 - 800 - 360, 9);
  });

  it("turns in half turns along the grain, in steps without", () => {
    expect(nextAngle(10, 15, undefined)).toBe(25);
    const along = allowedAngles(true, { ...sheet, grain: 30 });
    expect(nextAngle(30, 15, along)).toBe(210);
    expect(nextAngle(-150, 15, along)).toBe(30);
    expect(nextAngle(41, 15, along)).toBe(210);
    expect(allowedAngles(false, sheet)).toBeUndefined();
  });

  it("knows where the turning point lies", () => {
    const [x, y] = pivotOnSheet(partShape(piece("a"), [], 6), { x: 50, y: 60, angle: 180 });
    expect([x, y].map((v) => Math.round(v * 1e6) / 1e6)).toEqual([30, 50]);
  });
});
