import { describe, expect, it } from "vitest";
import type { Placed } from "./api";
import { free, keepAll, keepAt, moveClamp } from "./layoutEdits";

const placed: Placed[] = [
  { piece: "a", sheet: "one", at: [1, 2], angle: 0 },
  { piece: "b", sheet: "one", at: [3, 4], angle: 90 },
  { piece: "c", sheet: "two", at: [5, 6], angle: 0 },
];

describe("edits of the layout", () => {
  it("adds an entry for a piece that had none", () => {
    expect(keepAt(placed, "d", "one", { x: 1.234, y: 5, angle: 270 }, "Move d")).toEqual({
      label: "Move d",
      edits: [{ append: "placed", value: { piece: "d", sheet: "one", at: [1.23, 5], angle: -90 } }],
    });
  });
  it("changes only what is different", () => {
    expect(keepAt(placed, "b", "one", { x: 3, y: 7, angle: 90 }, "").edits).toEqual([{ path: ["placed", 1, "at"], value: [3, 7] }]);
    expect(keepAt(placed, "b", "two", { x: 3, y: 4, angle: 90 }, "").edits).toEqual([{ path: ["placed", 1, "sheet"], value: "two" }]);
    expect(keepAt(placed, "b", "one", { x: 3, y: 4, angle: 90 }, "").edits).toEqual([]);
  });
  it("frees the last entries first", () => {
    expect(free(placed, ["a", "c", "x"], "").edits).toEqual([
      { path: ["placed", 2], remove: true },
      { path: ["placed", 0], remove: true },
    ]);
  });
  it("keeps several as one change", () => {
    const both = keepAll(placed, [{ piece: "a", sheet: "one", at: [9, 2], angle: 0 }, { piece: "e", sheet: "two", at: [1, 1], angle: 0 }], "Lock");
    expect(both.edits).toHaveLength(2);
  });
  it("writes clamps in tenths", () => {
    expect(moveClamp(3, 1, [10.26, -0.01], "oak-a").edits).toEqual([{ path: ["sheet", 3, "clamps", 1, "at"], value: [10.3, 0] }]);
  });
});
