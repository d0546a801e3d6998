// Limits of a setting as bars on one scale: how much of each bound is used up.

import type { Feed, Limit } from "./api";

export type Setting = Pick<Feed, "n" | "vf" | "ap" | "ae">;

export interface Bar {
  readonly limit: Limit;
  /** 1 at the bound; more is beyond it. */
  readonly used: number;
  readonly binding: boolean;
}

/** Share of the bound that is used: value over bound, or bound over value where the value must be at least it. */
export function used(limit: Limit): number {
  const [over, under] = limit.at_least ? [limit.bound, limit.value] : [limit.value, limit.bound];
  if (under <= 0) return over <= 0 ? 0 : Infinity;
  return Math.max(0, over / under);
}

/** Broken limits first, then the binding one, then by how much of each is used. */
export function barsOf(feed: Pick<Feed, "limits" | "binding">): Bar[] {
  const rank = (bar: Bar) => (!bar.limit.holds ? 0 : bar.binding ? 1 : 2);
  return feed.limits
    .map((limit) => ({ limit, used: used(limit), binding: limit.holds && limit.name === feed.binding }))
    .sort((a, b) => rank(a) - rank(b) || b.used - a.used);
}

/** The tightest limit that is not the named one: what would bind next. */
export function nextAfter(feed: Pick<Feed, "limits" | "binding">): Limit | undefined {
  return barsOf(feed).find((bar) => bar.limit.holds && !bar.binding)?.limit;
}

export function key(feed: Pick<Feed, "material" | "cutter" | "step">, index: number): string {
  return `${feed.material}/${feed.cutter}/${feed.step}/${index}`;
}

export interface Group {
  readonly material: string;
  readonly feeds: readonly { readonly feed: Feed; readonly index: number }[];
}

/** Feeds by material, in the plan's order; equal ones (same cutter, step and setting) once. */
export function groupsOf(feeds: readonly Feed[]): Group[] {
  const groups = new Map<string, { feed: Feed; index: number }[]>();
  feeds.forEach((feed, index) => {
    const group = groups.get(feed.material) ?? [];
    const same = (other: Feed) =>
      other.cutter === feed.cutter && other.step === feed.step && other.n === feed.n && other.vf === feed.vf &&
      other.ap === feed.ap && other.ae === feed.ae;
    if (!group.some((g) => same(g.feed))) group.push({ feed, index });
    groups.set(feed.material, group);
  });
  return [...groups].map(([material, list]) => ({ material, feeds: list }));
}

/** What to ask the engine for a changed setting of a feed. */
export function question(feed: Feed, setting: Setting): Record<string, string> {
  const depth = feed.step === "drill" ? feed.ap : feed.ap * Math.max(1, feed.passes);
  return {
    material: feed.material,
    cutter: feed.cutter,
    machine: feed.machine,
    step: feed.step,
    depth: String(Math.round(depth * 1000) / 1000),
    n: String(setting.n),
    vf: String(setting.vf),
    ap: String(setting.ap),
    ae: String(setting.ae),
  };
}

export interface Range {
  readonly low: number;
  readonly high: number;
  readonly step: number;
}

/** Where a slider of each value runs: from little to somewhat beyond what the limits of the plan let it. */
export function rangesOf(feed: Feed, cutter: { DC: number; APMX: number } | undefined): Record<keyof Setting, Range> {
  const bound = (name: string, otherwise: number) => feed.limits.find((l) => l.name === name)?.bound ?? otherwise;
  const depth = Math.max(feed.ap * Math.max(1, feed.passes), 1);
  const diameter = cutter?.DC ?? Math.max(feed.ae, 1);
  return {
    n: { low: 1000, high: Math.max(bound("cutter speed", 24000), feed.n) * 1.1, step: 100 },
    vf: { low: 10, high: Math.max(bound("machine feed", 4000), feed.vf) * 1.1, step: 10 },
    ap: { low: 0.1, high: Math.max(Math.min(depth, cutter?.APMX ?? depth), feed.ap, 0.5), step: 0.05 },
    ae: { low: 0.05, high: Math.max(diameter, feed.ae), step: 0.05 },
  };
}

/** Three figures, without a trail of zeros: "0.064", "3,080", "24,000". */
export function figure(value: number): string {
  if (!Number.isFinite(value)) return "∞";
  const size = Math.abs(value);
  const decimals = size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : size >= 0.1 ? 3 : size === 0 ? 0 : 4;
  return value.toLocaleString("en-GB", { minimumFractionDigits: 0, maximumFractionDigits: decimals });
}
