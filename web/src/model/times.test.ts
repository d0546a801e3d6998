import { describe, expect, it } from "vitest";
import { clock, money, spokenTime, tickStep, ticks } from "./times";

describe("times", () => {
  it("reads like a clock", () => {
    expect([0, 45.4, 808, 3849, 59.6].map((s) => clock(s))).toEqual(["0:00", "0:45", "13:28", "1:04:09", "1:00"]);
    expect([0.04, 9.99, 61.2].map((s) => clock(s, true))).toEqual(["0:00.0", "0:09.9", "1:01.2"]);
  });
  it("speaks", () => {
    expect(spokenTime(3661)).toBe("1 hour 1 minute 1 second");
    expect(spokenTime(0)).toBe("0 seconds");
  });
  it("gives money, also in a currency that nobody knows", () => {
    expect(money(390.7, "EUR")).toBe("€390.70");
    expect(money(2, "shells")).toBe("2.00 shells");
  });
  it("ticks at round times", () => {
    expect(tickStep(7)).toBe(10);
    expect(tickStep(40000)).toBe(57600);
    expect(ticks(100, 20)).toEqual([0, 30, 60, 90]);
  });
});
