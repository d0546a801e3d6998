import { describe, expect, it } from "vitest";
import { fittingSpeed, keyStep, stepped } from "./playback";

describe("playback", () => {
  it("steps by keys, finely with Shift, and stays within the time", () => {
    expect(stepped(5, keyStep("ArrowRight", false, 100) ?? 0, 100)).toBe(6);
    expect(stepped(5, keyStep("ArrowLeft", true, 100) ?? 0, 100)).toBeCloseTo(4.9, 12);
    expect(stepped(98, keyStep("PageUp", false, 100) ?? 0, 100)).toBe(100);
    expect(stepped(98, keyStep("Home", false, 100) ?? 0, 100)).toBe(0);
    expect(stepped(98, keyStep("End", false, 100) ?? 0, 100)).toBe(100);
    expect(keyStep("a", false, 100)).toBeUndefined();
  });
  it("plays a whole setup in about half a minute where it can", () => {
    expect(fittingSpeed(30)).toBe(1);
    expect(fittingSpeed(800)).toBe(64);
    expect(fittingSpeed(1e6)).toBe(256);
  });
});
