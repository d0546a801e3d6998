// Fewer points for pictures and quick checks: Douglas and Peucker (1973), without recursion.

import type { Point, Ring } from "./placement";
import { pointToSegment } from "./polygon";

/** Points of an open line that keep it within `tolerance`. The ends stay. */
export function simplifiedLine(line: readonly Point[], tolerance: number): Point[] {
  const n = line.length;
  if (n <= 2) return [...line];
  const keep = new Uint8Array(n);
  keep[0] = 1;
  keep[n - 1] = 1;
  const open: [number, number][] = [[0, n - 1]];
  for (let span = open.pop(); span; span = open.pop()) {
    const [from, to] = span;
    const a = line[from];
    const b = line[to];
    if (!a || !b) continue;
    let farthest = 0;
    let at = 0;
    for (let i = from + 1; i < to; ++i) {
      const p = line[i];
      const d = p ? pointToSegment(p, a, b) : 0;
      if (d > farthest) {
        farthest = d;
        at = i;
      }
    }
    if (farthest <= tolerance) continue;
    keep[at] = 1;
    open.push([from, at], [at, to]);
  }
  return line.filter((_, i) => keep[i] === 1);
}

/** The same for a ring: cut open at its first point and at the point farthest from that. */
export function simplifiedRing(ring: Ring, tolerance: number): Point[] {
  const first = ring[0];
  if (!first || ring.length <= 4) return [...ring];
  let far = 0;
  let distance = -1;
  ring.forEach((p, i) => {
    const d = Math.hypot(p[0] - first[0], p[1] - first[1]);
    if (d > distance) {
      distance = d;
      far = i;
    }
  });
  const there = simplifiedLine(ring.slice(0, far + 1), tolerance);
  const back = simplifiedLine([...ring.slice(far), first], tolerance);
  return [...there, ...back.slice(1, -1)];
}
