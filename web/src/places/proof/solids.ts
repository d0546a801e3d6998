// What stands about the stock in the picture: the path as pieces of line, the cutter, the clamps.
import type { Clamp, PlanCutter, Replay } from "../../model/api";
import { countUpTo } from "../../model/replay";

export type Tip = readonly [number, number, number];

export interface PathPieces {
  /** Two points for each piece. */
  readonly positions: Float32Array;
  /** When each piece ends; ascending. */
  readonly ends: Float32Array;
}

export interface CutterSolid {
  readonly parts: readonly { readonly radius: number; readonly from: number; readonly to: number }[];
}
export interface ClampSolid {
  readonly at: readonly [number, number];
  readonly size: readonly [number, number];
  readonly top: number;
}

const dash = 4; // mm drawn and left out along rapids

/** Cuts as they run, rapids in dashes: the two differ by form. Just above what was cut, so that the line is seen. */
export function piecesOf(path: Replay["path"], rapid: boolean, above = 0.15): PathPieces {
  const positions: number[] = [];
  const ends: number[] = [];
  const piece = (i: number, from: number, to: number) => {
    for (const share of [from, to])
      for (const [k, column] of [path.x, path.y, path.z].entries()) {
        const a = column[i - 1] ?? 0;
        positions.push(a + share * ((column[i] ?? a) - a) + (k === 2 ? above : 0));
      }
    ends.push(path.t[i] ?? 0);
  };
  for (let i = 1; i < path.t.length; ++i) {
    if (Boolean(path.rapid[i]) !== rapid || path.program[i] !== path.program[i - 1]) continue;
    if (!rapid) {
      piece(i, 0, 1);
      continue;
    }
    const d = (c: number[]) => (c[i] ?? 0) - (c[i - 1] ?? 0);
    const length = Math.hypot(d(path.x), d(path.y), d(path.z));
    const n = Math.min(200, Math.max(1, Math.round(length / (2 * dash))));
    for (let k = 0; k < n; ++k) piece(i, k / n, (k + 0.5) / n);
  }
  return { positions: new Float32Array(positions), ends: new Float32Array(ends) };
}

/** First piece and number of pieces of a stretch of time. */
export function piecesBetween(pieces: PathPieces, from: number, to: number): readonly [number, number] {
  const first = countUpTo(pieces.ends, from);
  return [first, Math.max(0, countUpTo(pieces.ends, to + 1e-4) - first)];
}

/** Flutes, shank, and a nut where it grips. */
export function cutterSolid(cutter: PlanCutter): CutterSolid {
  const flutes = Math.min(cutter.APMX, cutter.LPR);
  return {
    parts: [
      { radius: cutter.DC / 2, from: 0, to: flutes },
      { radius: (cutter.DCON || cutter.DC) / 2, from: flutes, to: Math.max(cutter.LPR, flutes + 0.1) },
      { radius: Math.max(11, (cutter.DCON || cutter.DC) / 2 + 4), from: cutter.LPR, to: cutter.LPR + 14 },
    ],
  };
}

export function clampSolids(clamps: readonly Clamp[], thickness: number): ClampSolid[] {
  return clamps.map((c) => ({ at: c.at, size: c.size, top: thickness + c.height }));
}
