// Plane geometry of rings, for pictures and quick checks. The engine's own judgement is exact; this one is fast.

import type { Point, Ring } from "./placement";

/** Positive for counter-clockwise rings. */
export function signedArea(ring: Ring): number {
  let twice = 0;
  let [px, py] = ring[ring.length - 1] ?? [0, 0];
  for (const [x, y] of ring) {
    twice += px * y - x * py;
    px = x;
    py = y;
  }
  return twice / 2;
}

/** Outer ring less the holes. */
export function areaOf(rings: readonly Ring[]): number {
  return rings.reduce((sum, ring, i) => sum + (i === 0 ? 1 : -1) * Math.abs(signedArea(ring)), 0);
}

/** Even-odd over all rings; points on an edge may fall either way. */
export function inside(rings: readonly Ring[], p: Point): boolean {
  let odd = false;
  for (const ring of rings) {
    let previous = ring[ring.length - 1];
    for (const current of ring) {
      if (previous && current[1] > p[1] !== previous[1] > p[1]) {
        const x = current[0] + ((p[1] - current[1]) * (previous[0] - current[0])) / (previous[1] - current[1]);
        if (p[0] < x) odd = !odd;
      }
      previous = current;
    }
  }
  return odd;
}

export function pointToSegment(p: Point, a: Point, b: Point): number {
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const squared = dx * dx + dy * dy;
  const t = squared > 0 ? Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / squared)) : 0;
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}

function side(a: Point, b: Point, p: Point): number {
  return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
}

/** Whether two segments properly cross. */
export function segmentsCross(a: Point, b: Point, c: Point, d: Point): boolean {
  return side(a, b, c) > 0 !== side(a, b, d) > 0 && side(c, d, a) > 0 !== side(c, d, b) > 0;
}

function edgeDistance(ring: Ring, p: Point): number {
  let best = Infinity;
  let previous = ring[ring.length - 1];
  for (const current of ring) {
    if (previous) best = Math.min(best, pointToSegment(p, previous, current));
    previous = current;
  }
  return best;
}

/** Signed distance of a point to the border of an area: positive inside. */
export function depthWithin(rings: readonly Ring[], p: Point): number {
  const distance = Math.min(...rings.map((ring) => edgeDistance(ring, p)));
  return inside(rings, p) ? distance : -distance;
}

/**
 * A good place for a label: the point farthest from every border, within `precision`. Cells of a grid are split, the
 * most promising first, until none can be better by more than the precision.
 */
export function labelPoint(rings: readonly Ring[], precision = 0.5): { at: Point; room: number } {
  const outer = rings[0] ?? [];
  if (outer.length === 0) return { at: [0, 0], room: 0 };
  const xs = outer.map((p) => p[0]);
  const ys = outer.map((p) => p[1]);
  const x0 = Math.min(...xs);
  const y0 = Math.min(...ys);
  const width = Math.max(...xs) - x0;
  const height = Math.max(...ys) - y0;
  const start = Math.max(Math.min(width, height), precision);
  interface Cell {
    x: number;
    y: number;
    half: number;
    room: number;
    best: number;
  }
  const cell = (x: number, y: number, half: number): Cell => {
    const room = depthWithin(rings, [x, y]);
    return { x, y, half, room, best: room + half * Math.SQRT2 };
  };
  let cells: Cell[] = [];
  for (let x = x0 + start / 2; x - start / 2 < x0 + width; x += start)
    for (let y = y0 + start / 2; y - start / 2 < y0 + height; y += start) cells.push(cell(x, y, start / 2));
  let best = cell(x0 + width / 2, y0 + height / 2, 0);
  for (let round = 0; round < 400 && cells.length > 0; ++round) {
    cells.sort((a, b) => a.best - b.best);
    const next = cells.pop();
    if (!next) break;
    if (next.room > best.room) best = next;
    if (next.best - best.room <= precision) break;
    const h = next.half / 2;
    for (const [sx, sy] of [[-1, -1], [1, -1], [-1, 1], [1, 1]] as const)
      cells.push(cell(next.x + sx * h, next.y + sy * h, h));
    cells = cells.filter((c) => c.best - best.room > precision);
  }
  return { at: [best.x, best.y], room: Math.max(0, best.room) };
}
