// Seams of the plan have figures, seams of the drawing have lines: together they make the coloured picture.
import { pointToSegment } from "../math/polygon";
import type { Drawing, Piece, Plan, Point, Rings, Seam, Spot } from "./api";

export interface SeamLine {
  id: string;
  seam: Seam;
  lines: Point[][];
  /** The error of the gap that counts most, mm: too narrow below 0. */
  error: number;
  spots: { text: string; at: Point }[];
}

export function seamId(seam: Pick<Seam, "a" | "b">): string {
  return `${seam.a} / ${seam.b}`;
}

export function worstError(seam: Pick<Seam, "asked" | "gap_min" | "gap_max">): number {
  const narrow = seam.gap_min - seam.asked;
  const wide = seam.gap_max - seam.asked;
  return Math.abs(narrow) > Math.abs(wide) ? narrow : wide;
}

/** The middle of a spot's box. */
export function spotPlace(spot: Spot): Point {
  return [(spot.low[0] + spot.high[0]) / 2, (spot.low[1] + spot.high[1]) / 2];
}

function distance(p: Point, rings: Rings): number {
  let best = Infinity;
  for (const ring of rings) {
    let before = ring[ring.length - 1];
    for (const q of ring) {
      if (before) best = Math.min(best, pointToSegment(p, before, q));
      before = q;
    }
  }
  return best;
}

export function seamLines(plan: Plan, drawing: Drawing): SeamLine[] {
  const perRegion = new Map<string, Piece[]>();
  for (const piece of plan.pieces) perRegion.set(piece.region, [...(perRegion.get(piece.region) ?? []), piece]);
  /** Of a region in several parts, the one that a line lies on. */
  const owner = (region: string, line: Point[]): string => {
    if (region === "outside") return "tray";
    const parts = perRegion.get(region) ?? [];
    const middle = line[Math.floor(line.length / 2)];
    if (parts.length <= 1 || !middle) return parts[0]?.id ?? region;
    return parts.reduce((best, part) => (distance(middle, part.outline) < distance(middle, best.outline) ? part : best)).id;
  };
  const lines = new Map<string, Point[][]>();
  for (const { a, b, points } of drawing.seams) {
    const key = [owner(a, points), owner(b, points)].sort().join("\n");
    lines.set(key, [...(lines.get(key) ?? []), points]);
  }
  return plan.seams.map((seam) => ({
    id: seamId(seam),
    seam,
    lines: lines.get([seam.a, seam.b].sort().join("\n")) ?? [],
    error: worstError(seam),
    spots: seam.spots.map((spot) => ({ text: spot.why, at: spotPlace(spot) })),
  }));
}

export type SeamColumn = "seam" | "length" | "asked" | "gap_min" | "gap_mean" | "gap_max" | "error" | "moved_max" | "spots";

export function sortedSeams(seams: readonly SeamLine[], by: SeamColumn, falling: boolean): SeamLine[] {
  const value = (line: SeamLine): number | string => {
    if (by === "seam") return line.id;
    if (by === "error") return Math.abs(line.error);
    if (by === "spots") return line.seam.spots.length;
    return line.seam[by];
  };
  const sign = falling ? -1 : 1;
  return [...seams].sort((p, q) => {
    const [a, b] = [value(p), value(q)];
    return sign * (typeof a === "string" || typeof b === "string" ? String(a).localeCompare(String(b)) : a - b);
  });
}
