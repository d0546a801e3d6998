// A setup's programs along time: where the cutter is, which line moves it, what it feels. Columns, as the server sends
// them; every search is by halving.

export interface PathColumns {
  readonly t: ArrayLike<number>;
  readonly x: ArrayLike<number>;
  readonly y: ArrayLike<number>;
  readonly z: ArrayLike<number>;
  readonly program: ArrayLike<number>;
  readonly line: ArrayLike<number>;
  readonly rapid: ArrayLike<number | boolean>;
}
export interface LoadColumns {
  /** When each stretch begins and ends; in order, with gaps where nothing is cut. */
  readonly t: ArrayLike<number>;
  readonly end: ArrayLike<number>;
  readonly force: ArrayLike<number>;
  readonly power: ArrayLike<number>;
  readonly line: ArrayLike<number>;
  readonly program: ArrayLike<number>;
}
export interface Replay {
  readonly time: number;
  readonly path: PathColumns;
  readonly loads: LoadColumns;
}

/** The number of entries not after `value`; entries ascend. */
export function countUpTo(ascending: ArrayLike<number>, value: number): number {
  let low = 0;
  let high = ascending.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((ascending[middle] ?? Infinity) <= value) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The number of entries before `value`; entries ascend. */
export function countBefore(ascending: ArrayLike<number>, value: number): number {
  let low = 0;
  let high = ascending.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((ascending[middle] ?? Infinity) < value) low = middle + 1;
    else high = middle;
  }
  return low;
}

export interface Where {
  readonly at: readonly [number, number, number];
  readonly program: number;
  readonly line: number;
  readonly rapid: boolean;
  /** Index of the path's point at the end of the present move. */
  readonly index: number;
}

/** The tip at a time, between the path's points on straight lines; at the end of a move it is still that move. */
export function tipAt(path: PathColumns, time: number): Where | undefined {
  const n = path.t.length;
  if (n === 0) return undefined;
  const next = Math.min(Math.max(countBefore(path.t, time), 1), n - 1);
  const before = Math.max(next - 1, 0);
  const t0 = path.t[before] ?? 0;
  const t1 = path.t[next] ?? t0;
  const share = t1 > t0 ? Math.min(1, Math.max(0, (time - t0) / (t1 - t0))) : 1;
  const between = (column: ArrayLike<number>) => {
    const a = column[before] ?? 0;
    return a + share * ((column[next] ?? a) - a);
  };
  return {
    at: [between(path.x), between(path.y), between(path.z)],
    program: path.program[next] ?? 0,
    line: path.line[next] ?? 0,
    rapid: Boolean(path.rapid[next]),
    index: next,
  };
}

/** When a line of a program ends; for lines that move nothing, the end of the last moving line before it. */
export function timeOfLine(path: PathColumns, program: number, line: number): number | undefined {
  let found: number | undefined;
  for (let i = 0; i < path.t.length; ++i) {
    const p = path.program[i] ?? 0;
    if (p > program) break;
    if (p < program) continue;
    if ((path.line[i] ?? 0) > line) {
      found ??= path.t[i];
      break;
    }
    found = path.t[i];
  }
  return found;
}

/** The time at which the path is nearest to a place, among the points of one line (all points when the line has none). */
export function timeNear(path: PathColumns, program: number, line: number, at: readonly number[]): number | undefined {
  let best: number | undefined;
  let least = Infinity;
  for (const ofLine of [true, false]) {
    for (let i = 0; i < path.t.length; ++i) {
      if (path.program[i] !== program || (ofLine && path.line[i] !== line)) continue;
      const before = Math.max(i - 1, 0);
      const share = nearestShare(path, before, i, at);
      const d = Math.hypot(...([path.x, path.y, path.z].map((c, k) => mix(c, before, i, share) - (at[k] ?? 0))));
      if (d >= least) continue;
      least = d;
      best = mix(path.t, before, i, share);
    }
    if (best !== undefined) return best;
  }
  return best;
}

function mix(column: ArrayLike<number>, a: number, b: number, share: number): number {
  const from = column[a] ?? 0;
  return from + share * ((column[b] ?? from) - from);
}

function nearestShare(path: PathColumns, a: number, b: number, at: readonly number[]): number {
  let dot = 0;
  let squared = 0;
  [path.x, path.y, path.z].forEach((column, k) => {
    const d = (column[b] ?? 0) - (column[a] ?? 0);
    dot += d * ((at[k] ?? 0) - (column[a] ?? 0));
    squared += d * d;
  });
  return squared > 0 ? Math.min(1, Math.max(0, dot / squared)) : 1;
}

/** Stretches of time in which each program runs: [from, to] by index of program. */
export function programSpans(path: PathColumns, programs: number): { from: number; to: number }[] {
  const spans: { from: number; to: number }[] = Array.from({ length: programs }, () => ({ from: NaN, to: NaN }));
  let last = 0;
  for (let i = 0; i < path.t.length; ++i) {
    const span = spans[path.program[i] ?? 0];
    const t = path.t[i] ?? 0;
    if (span) {
      if (Number.isNaN(span.from)) span.from = last;
      span.to = t;
    }
    last = t;
  }
  return spans.map((s) => (Number.isNaN(s.from) ? { from: last, to: last } : s));
}

/** Load at a time; undefined where nothing is cut. */
export function loadAt(loads: LoadColumns, time: number): { force: number; power: number } | undefined {
  const i = countUpTo(loads.t, time) - 1;
  if (i < 0 || time > (loads.end[i] ?? 0)) return undefined;
  return { force: loads.force[i] ?? 0, power: loads.power[i] ?? 0 };
}

export interface LoadCurve {
  readonly t: number[];
  readonly force: (number | null)[];
  readonly power: (number | null)[];
}

const smallestGap = 0.02; // s: less is rounding

/** Loads for a chart, each stretch from its begin to its end; nothing is drawn where nothing is cut. */
export function loadCurve({ loads }: Pick<Replay, "loads">): LoadCurve {
  const curve: LoadCurve = { t: [], force: [], power: [] };
  const add = (t: number, force: number | null, power: number | null) => {
    curve.t.push(t);
    curve.force.push(force);
    curve.power.push(power);
  };
  for (let i = 0; i < loads.t.length; ++i) {
    const from = loads.t[i] ?? 0;
    const before = loads.end[i - 1] ?? from;
    if (from - before > smallestGap) add(before, null, null);
    const force = loads.force[i] ?? 0;
    const power = loads.power[i] ?? 0;
    add(from, force, power);
    add(Math.max(from, loads.end[i] ?? from), force, power);
  }
  return curve;
}

/** The largest force and power that the plan has for a cutter in a material; a proof allows 15 % more. */
export function plannedMost(
  feeds: readonly { material: string; cutter: string; force: number; power: number }[],
  material: string,
  cutters: readonly string[],
): { force: number; power: number } {
  const its = feeds.filter((f) => f.material === material && cutters.includes(f.cutter));
  return { force: Math.max(0, ...its.map((f) => f.force)), power: Math.max(0, ...its.map((f) => f.power)) };
}
