// The gap beside a drawn border, from the two as-cut edges: for the magnified view and its profile.
import type { Point, Rings } from "../model/api";
import { depthWithin } from "./polygon";

/** One side of a seam. `hollow`: the body is outside of the rings (the tray around its wall). */
export interface Side {
  rings: Rings;
  hollow: boolean;
}

/** How far a point lies outside of the body; negative inside. */
export function outside(side: Side, p: Point): number {
  const depth = depthWithin(side.rings, p);
  return side.hollow ? depth : -depth;
}

/** The gap at a point of the border: how far both bodies keep away from it. */
export function gapAt(a: Side, b: Side, p: Point): number {
  return outside(a, p) + outside(b, p);
}

export interface Along {
  /** Length from the start to each vertex. */
  readonly at: readonly number[];
  readonly length: number;
}

export function measured(line: readonly Point[]): Along {
  const at: number[] = [];
  let length = 0;
  line.forEach((p, i) => {
    const before = line[i - 1];
    if (before) length += Math.hypot(p[0] - before[0], p[1] - before[1]);
    at.push(length);
  });
  return { at, length };
}

/** The point at a length along a line, and the direction there. */
export function pointAlong(line: readonly Point[], along: Along, length: number): { at: Point; direction: Point } {
  const s = Math.min(along.length, Math.max(0, length));
  let i = along.at.findIndex((value) => value >= s);
  if (i < 1) i = 1;
  const a = line[i - 1] ?? [0, 0];
  const b = line[i] ?? a;
  const from = along.at[i - 1] ?? 0;
  const span = (along.at[i] ?? from) - from;
  const t = span > 0 ? (s - from) / span : 0;
  const norm = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  return {
    at: [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])],
    direction: [(b[0] - a[0]) / norm, (b[1] - a[1]) / norm],
  };
}

/** Gaps at `n` places along the line, the ends included. */
export function gapProfile(a: Side, b: Side, line: readonly Point[], n: number): number[] {
  const along = measured(line);
  return Array.from({ length: n }, (_, i) => gapAt(a, b, pointAlong(line, along, (along.length * i) / (n - 1)).at));
}
