// Sheets with the parts that lie on them: what the place "Sheets" shows and changes.

import { lightOutline } from "../math/apart";
import { boxOf, rotated, type Placement, type Point, type Ring } from "../math/placement";
import { areaOf, labelPoint } from "../math/polygon";
import type { Feed, Piece, Placed, Sheet } from "./api";

export type PieceOfPlan = Pick<Piece, "id" | "material" | "thickness" | "sheet" | "cutter" | "margin" | "placement" | "outline">;
export type SlotOfPlan = Pick<Feed, "material" | "cutter" | "step" | "slot_width">;

/** A part's shape, made once for a plan. */
export interface PartShape {
  readonly id: string;
  readonly material: string;
  readonly thickness: number;
  readonly cutter: string;
  readonly margin: number;
  /** Few points, for pictures and quick checks; drawing's frame. */
  readonly rings: readonly Ring[];
  readonly area: number;
  readonly label: Point;
  readonly labelRoom: number;
  /** Middle of its box: what it turns about. */
  readonly pivot: Point;
  /** Room that its cutter needs around it. */
  readonly kerf: number;
}

/** Where a part lies now. `locked`: by an entry in the job file. */
export interface Lying {
  readonly piece: string;
  readonly sheet: string;
  readonly placement: Placement;
  readonly locked: boolean;
}

// As the engine's planning does: finishing allowance and a web to the next part, in mm.
const finishAllowance = 0.2;
const web = 1.0;
export const edgeRoom = 5;

export function partShape(piece: PieceOfPlan, feeds: readonly SlotOfPlan[], diameter: number): PartShape {
  const rings = lightOutline(piece.outline);
  const { at, room } = labelPoint(rings);
  const box = boxOf(rings[0] ?? []);
  const slots = feeds
    .filter((f) => f.material === piece.material && f.cutter === piece.cutter && f.step === "profile")
    .map((f) => f.slot_width);
  return {
    id: piece.id,
    material: piece.material,
    thickness: piece.thickness,
    cutter: piece.cutter,
    margin: piece.margin,
    rings,
    area: areaOf(rings),
    label: at,
    labelRoom: room,
    pivot: [(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2],
    kerf: Math.max(diameter, ...slots) + finishAllowance + web,
  };
}

/** Places of all parts: the plan's, over them a proposal, over them what the job file locks. */
export function lyingParts(
  pieces: readonly PieceOfPlan[],
  proposal: readonly Placed[],
  locked: readonly Placed[],
): Lying[] {
  const byPiece = (entries: readonly Placed[]) => new Map(entries.map((e) => [e.piece, e]));
  const proposed = byPiece(proposal);
  const fixed = byPiece(locked);
  return pieces.map((piece) => {
    const entry = fixed.get(piece.id) ?? proposed.get(piece.id);
    if (!entry) {
      const { x, y, angle_deg } = piece.placement;
      return { piece: piece.id, sheet: piece.sheet, placement: { x, y, angle: angle_deg }, locked: false };
    }
    return {
      piece: piece.id,
      sheet: entry.sheet,
      placement: { x: entry.at[0], y: entry.at[1], angle: entry.angle },
      locked: fixed.has(piece.id),
    };
  });
}

export function entryOf(lying: Lying): Placed {
  const { x, y, angle } = lying.placement;
  return { piece: lying.piece, sheet: lying.sheet, at: [x, y], angle };
}

/** Area of the sheet that no part takes, with each part's kerf counted as taken along half of its border; mm². */
export function freeArea(sheet: Sheet, parts: readonly PartShape[]): number {
  const taken = parts.reduce((sum, part) => sum + part.area + (part.kerf / 2) * borderLength(part.rings[0] ?? []), 0);
  return Math.max(0, areaOf(sheet.outline) - taken);
}

function borderLength(ring: Ring): number {
  let length = 0;
  let previous = ring[ring.length - 1];
  for (const p of ring) {
    if (previous) length += Math.hypot(p[0] - previous[0], p[1] - previous[1]);
    previous = p;
  }
  return length;
}

/** Angles that a part may take on a sheet: none listed means any. */
export function allowedAngles(grain: boolean, sheet: Sheet): readonly number[] | undefined {
  return grain ? [sheet.grain, sheet.grain + 180] : undefined;
}

/** The next angle for the key R: half turns along the grain, else steps. */
export function nextAngle(angle: number, step: number, allowed: readonly number[] | undefined): number {
  if (!allowed) return angle + step;
  const off = (a: number) => Math.abs(((((angle - a) % 360) + 540) % 360) - 180);
  const [first = 0, second = first + 180] = allowed;
  return off(first) <= off(second) ? second : first;
}

/** The drawing's frame seen in sheet coordinates: where the part's turning point lies. */
export function pivotOnSheet(part: PartShape, at: Placement): Point {
  const [x, y] = rotated(part.pivot, at.angle);
  return [x + at.x, y + at.y];
}
