import { describe, expect, it } from "vitest";
import type { Feed, Limit } from "./api";
import { barsOf, figure, groupsOf, nextAfter, question, rangesOf, used } from "./feedRows";

const limit = (name: string, value: number, bound: number, at_least = false): Limit => ({
  name, value, bound, at_least, unit: "", holds: at_least ? value >= bound : value <= bound, reserve: 0, loosen: "",
});
const feed: Feed = {
  material: "oak", cutter: "flat-6", machine: "gantry-600", step: "profile", n: 18000, vf: 2400, fz: 0.067, ap: 2, ae: 6,
  passes: 3, plunge_feed: 900, ramp_angle: 6, slot_width: 6, power: 100, force: 20, force_mean: 10, torque: 0.1,
  deflection: 0.02, binding: "deflection", cutter_life: 900, notes: [],
  limits: [limit("power", 100, 1000), limit("rubbing", 0.067, 0.05, true), limit("deflection", 0.049, 0.05), limit("machine feed", 2400, 4000)],
};

describe("feed rows", () => {
  it("measures both kinds of limit on one scale", () => {
    expect(used(limit("a", 30, 60))).toBe(0.5);
    expect(used(limit("a", 60, 30, true))).toBe(0.5);
    expect(used(limit("a", 90, 60))).toBe(1.5);
    expect(used(limit("a", 20, 30, true))).toBe(1.5);
    expect(used(limit("a", 0, 30, true))).toBe(Infinity);
    expect(used(limit("a", 0, 0))).toBe(0);
  });
  it("puts broken limits first, then the binding one, then the tightest", () => {
    const broken = { ...feed, limits: [...feed.limits, limit("heat", 10, 5)] };
    expect(barsOf(broken).map((b) => b.limit.name)).toEqual(["heat", "deflection", "rubbing", "machine feed", "power"]);
    expect(barsOf(feed).filter((b) => b.binding).map((b) => b.limit.name)).toEqual(["deflection"]);
    expect(nextAfter(feed)?.name).toBe("rubbing");
  });
  it("groups by material, equal ones once, and keeps their number in the plan", () => {
    const groups = groupsOf([feed, { ...feed, material: "brass" }, feed, { ...feed, step: "finish" }]);
    expect(groups.map((g) => [g.material, g.feeds.map((f) => f.index)])).toEqual([["oak", [0, 3]], ["brass", [1]]]);
  });
  it("asks for the whole depth", () => {
    expect(question(feed, { n: 20000, vf: 2000, ap: 3, ae: 6 })).toMatchObject({ depth: "6", n: "20000", ap: "3", step: "profile" });
  });
  it("lets sliders go beyond the machine, so that limits can be seen to break", () => {
    expect(rangesOf(feed, undefined).vf.high).toBeGreaterThan(4000);
    expect(rangesOf(feed, { DC: 6, APMX: 4 }).ap.high).toBe(4);
  });
  it("writes figures short", () => {
    expect([0.0641667, 3080, 24000, 1.5, 12.345, 0, Infinity].map(figure)).toEqual(["0.0642", "3,080", "24,000", "1.5", "12.3", "0", "∞"]);
  });
});
