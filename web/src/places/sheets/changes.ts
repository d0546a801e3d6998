// The few ways to change the layout. Each is one edit of the job file that can be undone.
import { effect } from "@preact/signals";
import { post } from "../../api/client";
import { edit, fail, job, planning } from "../../api/store";
import { samePlacement, turnedAbout, written, type Placement, type Point } from "../../math/placement";
import type { Clash, PlacedAgain } from "../../model/api";
import { allowedAngles, entryOf, nextAngle, type Lying } from "../../model/boards";
import { free, keepAll, keepAt, moveClamp } from "../../model/layoutEdits";
import { arrangement, hasGrain, judged, lying, movingClamp, movingPart, proposal, serial, shapes, sheets } from "./table";

/** The engine judges what lies on the bench: one question at a time, the newest next. */
export function followClashes(): () => void {
  let busy = false;
  let over = false;
  const ask = async () => {
    const of = arrangement.value;
    if (busy || over || lying.value.length === 0 || of === judged.value.of || movingClamp.value) return;
    busy = true;
    try {
      const placed = lying.value.map((l) => entryOf({ ...l, placement: written(l.placement) }));
      const { clashes } = await post<{ clashes: Clash[] }>("/api/layout/check", { placed });
      judged.value = { of, clashes };
    } catch (error) {
      judged.value = { of, clashes: [] };
      if (!planning.value) fail(error);
    } finally {
      busy = false;
    }
    void ask();
  };
  const stop = effect(() => {
    void arrangement.value;
    void ask();
  });
  return () => {
    over = true;
    stop();
  };
}

export function lyingOf(id: string): Lying | undefined {
  return lying.value.find((l) => l.piece === id);
}

let waiting: ReturnType<typeof setTimeout> | undefined;
let label = "";

/** Shows a part at a place; written down when it is let go, or shortly after the last key. */
export function show(one: Lying, placement: Placement, sheet = one.sheet): void {
  movingPart.value = { ...one, sheet, placement };
}

export async function letGo(what: string): Promise<void> {
  clearTimeout(waiting);
  const moved = movingPart.value;
  if (!moved) return;
  const placement = written(moved.placement);
  movingPart.value = { ...moved, placement };
  await edit(`${what} ${moved.piece}`, (now) => keepAt(now.placed, moved.piece, moved.sheet, placement, "").edits);
  if (movingPart.value?.piece === moved.piece && samePlacement(movingPart.value.placement, placement)) movingPart.value = null;
}

/** Keys come in runs: one run, one change to undo. */
export function nudge(id: string, placement: Placement, what: string): void {
  if (movingPart.value && movingPart.value.piece !== id) void letGo(label);
  const one = lyingOf(id);
  if (!one) return;
  clearTimeout(waiting);
  label = what;
  show(one, placement);
  waiting = setTimeout(() => void letGo(what), 450);
}

export function turnTo(id: string, angle: number): void {
  const one = lyingOf(id);
  const part = shapes.value.get(id);
  if (one && part) nudge(id, turnedAbout(one.placement, part.pivot, angle), "Turn");
}

/** By key or button: half turns along the grain, else steps of 15°, finely 1°. */
export function turnOn(id: string, step: number): void {
  const one = lyingOf(id);
  const sheet = sheets.value.find((s) => s.name === one?.sheet);
  if (one && sheet) turnTo(id, nextAngle(one.placement.angle, step, allowedAngles(hasGrain(sheet.material), sheet)));
}

export async function toggleLock(id: string): Promise<void> {
  await letGo(label || "Move");
  const one = lyingOf(id);
  if (!one) return;
  if (one.locked) {
    stay([one]);
    await edit(`Free ${id}`, (now) => free(now.placed, [id], "").edits);
  } else {
    await edit(`Lock ${id}`, (now) => keepAt(now.placed, id, one.sheet, one.placement, "").edits);
  }
}

/** Freed parts stay in the picture where they lie until the next plan places them. */
function stay(list: readonly Lying[]): void {
  const names = list.map((l) => l.piece);
  const before = proposal.value?.serial === serial.value ? proposal.value.placed : [];
  proposal.value = { serial: serial.value, placed: [...before.filter((p) => !names.includes(p.piece)), ...list.map(entryOf)] };
}

export async function lockAll(): Promise<void> {
  await edit("Lock all parts", (now) => keepAll(now.placed, lying.value.filter((l) => !l.locked).map(entryOf), "").edits);
}

export async function freeAll(): Promise<void> {
  const locked = lying.value.filter((l) => l.locked);
  stay(locked);
  await edit("Free all parts", (now) => free(now.placed, locked.map((l) => l.piece), "").edits);
}

/** The rest placed around what is locked, to look at; locks stay as they are. */
export async function placeAnew(): Promise<void> {
  try {
    const locked = lying.value.filter((l) => l.locked).map(entryOf);
    const { placed } = await post<{ placed: PlacedAgain[] }>("/api/layout/place", { placed: locked });
    proposal.value = { serial: serial.value, placed: placed.map(({ piece, sheet, at, angle }) => ({ piece, sheet, at, angle })) };
  } catch (error) {
    fail(error);
  }
}

export async function dropClamp(): Promise<void> {
  clearTimeout(waiting);
  const moved = movingClamp.value;
  if (!moved) return;
  const at = (sheet: string) => job.value?.sheets.findIndex((s) => s.name === sheet) ?? -1;
  const { label: what, edits } = moveClamp(at(moved.sheet), moved.index, moved.at, moved.sheet);
  await edit(what, () => edits);
  if (movingClamp.value === moved) movingClamp.value = null;
}

export function nudgeClamp(sheet: string, index: number, by: Point): void {
  const clamp = sheets.value.find((s) => s.name === sheet)?.clamps[index];
  if (!clamp) return;
  clearTimeout(waiting);
  movingClamp.value = { sheet, index, at: [clamp.at[0] + by[0], clamp.at[1] + by[1]] };
  waiting = setTimeout(() => void dropClamp(), 450);
}
