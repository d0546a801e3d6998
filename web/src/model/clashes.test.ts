import { describe, expect, it } from "vitest";
import { placedOutline } from "../math/apart";
import type { Sheet } from "./api";
import { partShape } from "./boards";
import { clampRoomOf, clashText, quickClashes, roomOf } from "./clashes";

const sheet: Sheet = {
  name: "oak-a", material: "oak", size: [400, 200], offcut: false, outline: [[[0, 0], [400, 0], [400, 200], [0, 200]]],
  thickness: 6, measured: [], grain: 0, hold: ["clamps"], clamps: [{ at: [0, 80], size: [12, 40], height: 20 }], price: null,
};
const shape = (id: string, material = "oak") =>
  partShape(
    {
      id, material, thickness: 6, sheet: "oak-a", cutter: "flat-6", margin: 1, placement: { x: 0, y: 0, angle_deg: 0 },
      outline: [[[0, 0], [40, 0], [40, 20], [0, 20]]],
    },
    [], 4.8, // kerf 6
  );
const at = (x: number, y: number, angle = 0) => ({ x, y, angle });
const found = (x: number, y: number, angle = 0, grain = false) =>
  quickClashes(shape("a"), at(x, y, angle), roomOf(sheet, 6, grain), [
    { part: shape("b"), outline: placedOutline(shape("b").rings, at(200, 100)) },
  ]).map((c) => [c.b, Math.round(c.by * 1000) / 1000]);

describe("quick check", () => {
  it("finds nothing where all is well", () => {
    expect(found(100, 40)).toEqual([]);
    expect(found(154, 100)).toEqual([]); // exactly a kerf apart
  });
  it("finds neighbours, edges and clamps, and by how much", () => {
    expect(found(156, 100)).toEqual([["b", 2]]);
    expect(found(195, 95)).toEqual([["b", 6]]);
    expect(found(100, 9)).toEqual([["edge", 2]]);
    expect(found(20, 90)).toEqual([["clamp 1", 4]]);
  });
  it("minds the grain only where it counts", () => {
    expect(found(100, 60, 10, false)).toEqual([]);
    expect(found(100, 60, 10, true)).toEqual([["grain", 10]]);
    expect(found(100, 60, 180, true)).toEqual([]);
  });
  it("minds the material", () => {
    expect(quickClashes(shape("a", "brass"), at(100, 40), roomOf(sheet, 6, false), []).map((c) => c.b)).toEqual(["material"]);
  });
  it("speaks, and leaves the last word to the engine", () => {
    expect(clashText({ a: "a", b: "clamp 1", by: 4 })).toBe("a is 4.0 mm too near clamp 1");
    expect(clashText({ a: "a", b: "edge", by: 0.123 })).toBe("a is 0.12 mm too near the edge");
    expect(clashText({ a: "a", b: "b", by: 1, text: "as the engine says" })).toBe("as the engine says");
  });
});

describe("room around clamps", () => {
  const cutters = [{ name: "flat-6", DC: 6, APMX: 22, LPR: 28, DCON: 6 }];
  const stack = [{ diameter: 22, from: 0 }, { diameter: 65, from: 14 }];
  const used = [{ sheet: "oak-a", cutter: "flat-6" }];
  it("is the cutter's while clamps are low, the nut's when they are high", () => {
    expect(clampRoomOf([{ ...sheet, clamps: [{ at: [0, 0], size: [9, 9], height: 10 }] }], used, { cutters, stack })).toBe(5);
    expect(clampRoomOf([{ ...sheet, clamps: [{ at: [0, 0], size: [9, 9], height: 25 }] }], used, { cutters, stack })).toBe(13);
    expect(clampRoomOf([{ ...sheet, clamps: [{ at: [0, 0], size: [9, 9], height: 40 }] }], used, { cutters, stack })).toBe(34.5);
    expect(clampRoomOf([{ ...sheet, clamps: [] }], used, { cutters, stack })).toBe(0);
  });
});
