import { describe, expect, it } from "vitest";
import { css, depthColour, depthTable, fromOklab, toOklab } from "./ramp";

describe("ramp", () => {
  it("goes to Oklab and back; white and black are what Ottosson gives", () => {
    expect(toOklab([1, 1, 1])[0]).toBeCloseTo(1, 4);
    expect(toOklab([0, 0, 0])[0]).toBeCloseTo(0, 4);
    for (const c of [[1, 0, 0], [0.2, 0.5, 0.7], [0.9, 0.85, 0.7]] as const)
      fromOklab(toOklab(c)).forEach((v, i) => expect(v).toBeCloseTo(c[i] ?? 0, 3));
  });
  it("darkens evenly with depth, so that grey shows it too", () => {
    const steps = Array.from({ length: 33 }, (_, i) => toOklab(depthColour(i / 32))[0]);
    for (let i = 1; i < steps.length; ++i) {
      const drop = (steps[i - 1] ?? 0) - (steps[i] ?? 0);
      expect(drop).toBeGreaterThan(0.014);
      expect(drop).toBeLessThan(0.026);
    }
  });
  it("takes any number", () => {
    expect(depthColour(-1)).toEqual(depthColour(0));
    expect(depthColour(9)).toEqual(depthColour(1));
    expect(depthColour(NaN)).toEqual(depthColour(0));
    expect(css([1, 0, 0.5])).toBe("rgb(255 0 128)");
    expect(depthTable(16)).toHaveLength(48);
  });
});
