import { expect, test } from "vitest";
import type { Drawing, Job, Shop } from "./api";
import { addSheet, freshName, missingSheets, suitableSize, thicknessAt } from "./shelf";

test("a suitable sheet holds the largest piece and stays on the machine", () => {
  const [w, h] = suitableSize(20_000, [150, 90], [600, 600, 90]);
  expect(w).toBeGreaterThanOrEqual(190);
  expect(h).toBeGreaterThanOrEqual(130);
  expect(w * h).toBeGreaterThan(2 * 20_000);
  const [W, H] = suitableSize(200_000, [300, 300], [600, 600, 90]);
  expect(W).toBeLessThanOrEqual(600);
  expect(H).toBeLessThanOrEqual(600);
});

test("a name that is free", () => {
  expect(freshName([{ name: "oak-a" }], "oak")).toBe("oak-b");
});

test("one sheet for each missing material, none for what is there", () => {
  const ring: [number, number][] = [[0, 0], [80, 0], [80, 50], [0, 50]];
  const drawing = {
    regions: [
      { name: "a", fill: "", area: 4000, perimeter: 260, parts: [[ring]] },
      { name: "b", fill: "", area: 4000, perimeter: 260, parts: [[ring]] },
    ],
  } as unknown as Drawing;
  const job = { materials: { a: "oak", b: "mdf" }, sheets: [{ name: "m", material: "mdf" }], machine: { name: "g" } } as unknown as Job;
  const shop = { materials: [{ name: "oak", kind: "wood", grain: true }], machines: [], cutters: [], holds: [] } as unknown as Shop;
  const missing = missingSheets(job, drawing, shop);
  expect(missing).toHaveLength(1);
  expect(missing[0]).toMatchObject({ name: "oak-a", material: "oak" });
  expect(addSheet(missing[0]!)).toMatchObject({ append: "sheet", value: { material: "oak" } });
});

test("the surface goes through its points and stays between them", () => {
  const points: [number, number, number][] = [[0, 0, 6.1], [100, 0, 6.3]];
  expect(thicknessAt(points, 0, 0)).toBe(6.1);
  expect(thicknessAt(points, 50, 0)).toBeCloseTo(6.2);
});
