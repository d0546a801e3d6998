// How far two areas are apart, for the check while a part is dragged: true to the simplified outlines.

import { boxesMeet, boxOf, grownBox, placedRing, type Box, type Placement, type Point, type Ring } from "./placement";
import { depthWithin, inside, pointToSegment, segmentsCross } from "./polygon";
import { simplifiedRing } from "./simplify";

/** An area with the boxes of runs of its edges, so that most edges need not be looked at. */
export interface Outline {
  readonly rings: readonly (readonly Point[])[];
  readonly box: Box;
  readonly runs: readonly Run[];
}
interface Run {
  readonly box: Box;
  readonly points: readonly Point[]; // consecutive edges
}

const runLength = 12;

export function outlineOf(rings: readonly Ring[]): Outline {
  const runs: Run[] = [];
  for (const ring of rings) {
    const first = ring[0];
    if (!first) continue;
    const closed = [...ring, first];
    for (let i = 0; i + 1 < closed.length; i += runLength) {
      const points = closed.slice(i, i + runLength + 1);
      runs.push({ box: boxOf(points), points });
    }
  }
  return { rings, box: boxOf(rings[0] ?? []), runs };
}

/** With fewer points; differs from the given rings by at most `tolerance`. */
export function lightOutline(rings: readonly Ring[], tolerance = 0.05): Ring[] {
  return rings.map((ring) => simplifiedRing(ring, tolerance));
}

export function placedOutline(rings: readonly Ring[], at: Placement): Outline {
  return outlineOf(rings.map((ring) => placedRing(ring, at)));
}

function runDistance(a: Run, b: Run, limit: number): number {
  let best = limit;
  for (let i = 0; i + 1 < a.points.length; ++i) {
    const p = a.points[i];
    const q = a.points[i + 1];
    if (!p || !q) continue;
    for (let j = 0; j + 1 < b.points.length; ++j) {
      const r = b.points[j];
      const s = b.points[j + 1];
      if (!r || !s) continue;
      if (segmentsCross(p, q, r, s)) return 0;
      best = Math.min(best, pointToSegment(p, r, s), pointToSegment(q, r, s), pointToSegment(r, p, q), pointToSegment(s, p, q));
    }
  }
  return best;
}

/** Distance between the borders of two areas, or `limit` when they are farther apart. */
export function borderDistance(a: Outline, b: Outline, limit: number): number {
  let best = limit;
  if (!boxesMeet(grownBox(a.box, limit), b.box)) return limit;
  for (const one of a.runs) {
    const near = grownBox(one.box, best);
    if (!boxesMeet(near, b.box)) continue;
    for (const other of b.runs) {
      if (!boxesMeet(near, other.box)) continue;
      best = runDistance(one, other, best);
      if (best === 0) return 0;
    }
  }
  return best;
}

/** Millimetres that lack to `asked` between two areas; the whole of it when they overlap. */
export function lacking(a: Outline, b: Outline, asked: number): number {
  if (!boxesMeet(grownBox(a.box, asked), b.box)) return 0;
  const pa = a.rings[0]?.[0];
  const pb = b.rings[0]?.[0];
  if (pa && inside(b.rings, pa)) return asked;
  if (pb && inside(a.rings, pb)) return asked;
  return asked - borderDistance(a, b, asked);
}

/** Millimetres that lack to `asked` between an area and the border of the sheet that it must lie in. */
export function lackingAtEdge(a: Outline, sheet: Outline, asked: number): number {
  let least = borderDistance(a, sheet, asked);
  for (const ring of a.rings)
    for (const p of ring)
      if (!inside(sheet.rings, p)) least = Math.min(least, depthWithin(sheet.rings, p));
  return asked - least;
}
