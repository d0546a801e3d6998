// What lies on the bench: sheets, parts, what is chosen, what is being moved, and what clashes.
import { computed, signal } from "@preact/signals";
import { job, plan, shop, state } from "../../api/store";
import { placedOutline, type Outline } from "../../math/apart";
import type { Placement, Point } from "../../math/placement";
import type { Clash, Placed, Plan, Sheet } from "../../model/api";
import { lyingParts, partShape, type Lying, type PartShape } from "../../model/boards";
import { clampRoomOf, quickClashes, roomOf, type Neighbour, type QuickClash } from "../../model/clashes";
import { looksOf } from "../../model/look";

export type Chosen = { kind: "part"; id: string } | { kind: "clamp"; sheet: string; index: number } | null;

export const chosen = signal<Chosen>(null);
/** One sheet by itself, or "" for all. */
export const closeUp = signal("");
/** A part being moved: it lies here until it is let go and written down. */
export const movingPart = signal<Lying | null>(null);
export const movingClamp = signal<{ sheet: string; index: number; at: Point } | null>(null);
/** Places that "place the rest anew" gave; the next plan makes them real. */
export const proposal = signal<{ serial: number; placed: Placed[] } | null>(null);
/** The engine's own judgement, and which arrangement it was of. */
export const judged = signal<{ of: string; clashes: Clash[] }>({ of: "", clashes: [] });

export const serial = computed(() => state.value?.plan.serial ?? 0);

export const shapes = computed(() => {
  const made = new Map<string, PartShape>();
  for (const piece of plan.value?.pieces ?? []) {
    const diameter = plan.value?.cutters.find((c) => c.name === piece.cutter)?.DC ?? 0;
    made.set(piece.id, partShape(piece, plan.value?.feeds ?? [], diameter));
  }
  return made;
});

export const lying = computed<Lying[]>(() => {
  const proposed = proposal.value?.serial === serial.value ? proposal.value.placed : [];
  const all = lyingParts(plan.value?.pieces ?? [], proposed, job.value?.placed ?? []);
  const moving = movingPart.value;
  return moving ? all.map((l) => (l.piece === moving.piece ? moving : l)) : all;
});

/** The job's sheets with a clamp where it is being moved to; those in use first, in the order of the setups. */
export const sheets = computed<Sheet[]>(() => {
  const moving = movingClamp.value;
  const all = (job.value?.sheets ?? []).map((sheet) =>
    moving?.sheet === sheet.name
      ? { ...sheet, clamps: sheet.clamps.map((c, i) => (i === moving.index ? { ...c, at: [...moving.at] as [number, number] } : c)) }
      : sheet,
  );
  const order = (plan.value?.setups ?? []).map((s) => s.sheet);
  const rank = (s: Sheet) => (order.includes(s.name) ? order.indexOf(s.name) : order.length);
  return all.map((s, i) => ({ s, i })).sort((a, b) => rank(a.s) - rank(b.s) || a.i - b.i).map(({ s }) => s);
});

export const looks = computed(() => looksOf(shop.value?.materials ?? []));

export function hasGrain(material: string): boolean {
  return shop.value?.materials.find((m) => m.name === material)?.grain ?? false;
}

const clampRoom = computed(() => {
  const stack = (plan.value?.machine as (Plan["machine"] & { stack?: { diameter: number; from: number }[] }) | undefined)?.stack ?? [];
  return clampRoomOf(job.value?.sheets ?? [], plan.value?.pieces ?? [], { cutters: plan.value?.cutters ?? [], stack });
});

const outlines = new WeakMap<PartShape, { at: string; outline: Outline }>();

function outlineAt(part: PartShape, at: Placement): Outline {
  const key = `${at.x} ${at.y} ${at.angle}`;
  const known = outlines.get(part);
  if (known?.at === key) return known.outline;
  const outline = placedOutline(part.rings, at);
  outlines.set(part, { at: key, outline });
  return outline;
}

function neighboursOf(one: Lying): Neighbour[] {
  return lying.value.flatMap((other) => {
    const part = shapes.value.get(other.piece);
    if (other.piece === one.piece || other.sheet !== one.sheet || !part) return [];
    return [{ part, outline: outlineAt(part, other.placement) }];
  });
}

/** Found at once, on the page: for the part that moves, or for all parts of the sheet whose clamp moves. */
const quick = computed<QuickClash[]>(() => {
  const sheetName = movingPart.value?.sheet ?? movingClamp.value?.sheet;
  const sheet = sheets.value.find((s) => s.name === sheetName);
  if (!sheet) return [];
  const room = roomOf(sheet, clampRoom.value, hasGrain(sheet.material));
  const moved = movingPart.value ? [movingPart.value] : lying.value.filter((l) => l.sheet === sheet.name);
  return moved.flatMap((one) => {
    const part = shapes.value.get(one.piece);
    return part ? quickClashes(part, one.placement, room, movingPart.value ? neighboursOf(one) : []) : [];
  });
});

/** Names the arrangement as it lies, so that a late answer is known as one. */
export const arrangement = computed(() =>
  JSON.stringify([serial.value, lying.value.map((l) => [l.piece, l.sheet, l.placement]), sheets.value.map((s) => s.clamps)]),
);

/** The engine's word where it has judged what lies there now; else the quick check over the engine's word on the rest. */
export const clashes = computed<QuickClash[]>(() => {
  const { of, clashes: exact } = judged.value;
  if (of === arrangement.value) return exact;
  const touched = (c: QuickClash) => movingPart.value !== null && [c.a, c.b].includes(movingPart.value.piece);
  if (movingPart.value) return [...exact.filter((c) => !touched(c)), ...quick.value];
  return movingClamp.value ? quick.value : exact;
});

export const clashing = computed(() => {
  const names = new Set<string>();
  for (const c of clashes.value) names.add(c.a).add(c.b);
  return names;
});
