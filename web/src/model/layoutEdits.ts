// Changes of the layout as edits of the job file, each one step to undo.

import { written, type Placement, type Point } from "../math/placement";
import type { Edit, Placed } from "./api";

export interface Change {
  readonly label: string;
  readonly edits: Edit[];
}

/** Puts a piece at a place and keeps it there. */
export function keepAt(
  placed: readonly Placed[],
  piece: string,
  sheet: string,
  placement: Placement,
  label: string,
): Change {
  const { x, y, angle } = written(placement);
  const i = placed.findIndex((e) => e.piece === piece);
  const old = placed[i];
  if (!old) return { label, edits: [{ append: "placed", value: { piece, sheet, at: [x, y], angle } }] };
  const edits: Edit[] = [];
  if (old.sheet !== sheet) edits.push({ path: ["placed", i, "sheet"], value: sheet });
  if (old.at[0] !== x || old.at[1] !== y) edits.push({ path: ["placed", i, "at"], value: [x, y] });
  if (old.angle !== angle) edits.push({ path: ["placed", i, "angle"], value: angle });
  return { label, edits };
}

/** Several pieces kept where they lie, as one change. */
export function keepAll(placed: readonly Placed[], entries: readonly Placed[], label: string): Change {
  const edits = entries.flatMap(
    (e) => keepAt(placed, e.piece, e.sheet, { x: e.at[0], y: e.at[1], angle: e.angle }, label).edits,
  );
  return { label, edits };
}

/** Frees pieces: the next plan may place them anew. The last entries go first, so that indices stay true. */
export function free(placed: readonly Placed[], pieces: readonly string[], label: string): Change {
  const edits = placed
    .map((e, i) => ({ e, i }))
    .filter(({ e }) => pieces.includes(e.piece))
    .reverse()
    .map(({ i }): Edit => ({ path: ["placed", i], remove: true }));
  return { label, edits };
}

export function moveClamp(sheet: number, clamp: number, at: Point, name: string): Change {
  const tenths = (v: number) => Math.round(v * 10) / 10 + 0;
  return {
    label: `Move clamp ${clamp + 1} of ${name}`,
    edits: [{ path: ["sheet", sheet, "clamps", clamp, "at"], value: [tenths(at[0]), tenths(at[1])] }],
  };
}

export function resizeClamp(sheet: number, clamp: number, size: Point, height: number, name: string): Change {
  return {
    label: `Clamp ${clamp + 1} of ${name}: size`,
    edits: [
      { path: ["sheet", sheet, "clamps", clamp, "size"], value: [size[0], size[1]] },
      { path: ["sheet", sheet, "clamps", clamp, "height"], value: height },
    ],
  };
}
