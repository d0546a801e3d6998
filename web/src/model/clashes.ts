// A quick check of one part's place while it is moved. The engine's exact check follows it and has the last word.

import { lacking, lackingAtEdge, outlineOf, placedOutline, type Outline } from "../math/apart";
import { tidyAngle, type Placement, type Ring } from "../math/placement";
import type { Clamp, Clash, Sheet } from "./api";
import { allowedAngles, edgeRoom, type PartShape } from "./boards";

/** Found on the page, not yet put into words by the engine. */
export type QuickClash = Omit<Clash, "text"> & { readonly text?: string };

export interface Neighbour {
  readonly part: PartShape;
  readonly outline: Outline;
}

export interface SheetRoom {
  readonly sheet: Sheet;
  readonly border: Outline;
  readonly clamps: readonly Outline[];
  readonly clampRoom: number;
  readonly grain: boolean;
}

const smallest = 0.06; // mm: what simplified outlines may be off

export function clampRing(clamp: Clamp): Ring {
  const [x, y] = clamp.at;
  const [w, h] = clamp.size;
  return [[x, y], [x + w, y], [x + w, y + h], [x, y + h]];
}

export function roomOf(sheet: Sheet, clampRoom: number, grain: boolean): SheetRoom {
  return {
    sheet,
    border: outlineOf(sheet.outline),
    clamps: sheet.clamps.map((c) => outlineOf([clampRing(c)])),
    clampRoom,
    grain,
  };
}

export function quickClashes(part: PartShape, at: Placement, room: SheetRoom, others: readonly Neighbour[]): QuickClash[] {
  const outline = placedOutline(part.rings, at);
  const found: QuickClash[] = [];
  const note = (b: string, by: number) => {
    if (by > smallest) found.push({ a: part.id, b, by });
  };
  if (part.material !== room.sheet.material) found.push({ a: part.id, b: "material", by: 0 });
  const allowed = allowedAngles(room.grain, room.sheet);
  if (allowed) note("grain", Math.min(...allowed.map((a) => Math.abs(tidyAngle(at.angle - a)))));
  note("edge", lackingAtEdge(outline, room.border, edgeRoom + part.kerf));
  room.clamps.forEach((clamp, i) => note(`clamp ${i + 1}`, lacking(outline, clamp, room.clampRoom + part.kerf)));
  for (const other of others) note(other.part.id, lacking(outline, other.outline, Math.max(part.kerf, other.part.kerf)));
  return found;
}

/** A clash in words, for those the engine has not put into words yet. */
export function clashText(clash: QuickClash): string {
  if (clash.text) return clash.text;
  const by = clash.by.toFixed(clash.by < 1 ? 2 : 1);
  if (clash.b === "material") return `${clash.a} is of another material than this sheet`;
  if (clash.b === "grain") return `${clash.a} lies ${by}° off the grain`;
  if (clash.b === "edge") return `${clash.a} is ${by} mm too near the edge`;
  return `${clash.a} is ${by} mm too near ${clash.b}`;
}

interface Spinning {
  readonly cutters: readonly { name: string; DC: number; APMX: number; LPR: number; DCON: number }[];
  readonly stack: readonly { diameter: number; from: number }[];
}

/** Room around clamps for the widest turning thing that reaches down to one: the engine's own rule, for quick checks. */
export function clampRoomOf(sheets: readonly Sheet[], used: readonly { sheet: string; cutter: string }[], spinning: Spinning): number {
  const air = 2;
  let room = 0;
  for (const { sheet: name, cutter: its } of used) {
    const sheet = sheets.find((s) => s.name === name);
    const cutter = spinning.cutters.find((c) => c.name === its);
    if (!sheet || !cutter || sheet.clamps.length === 0) continue;
    const thickest = Math.max(sheet.thickness, ...sheet.measured.map((m) => m[2]));
    const top = thickest + Math.max(...sheet.clamps.map((c) => c.height));
    const radii = [cutter.DC / 2];
    if (cutter.APMX < top) radii.push(cutter.DCON / 2);
    for (const part of spinning.stack) if (cutter.LPR + part.from < top) radii.push(part.diameter / 2);
    room = Math.max(room, Math.max(...radii) + air);
  }
  return room;
}
