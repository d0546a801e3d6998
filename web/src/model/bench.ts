// Sheets side by side on the bench, all to one scale, in rows.

export interface Slot {
  /** Pixels from the upper left of the bench. */
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}
export interface Arrangement {
  /** Pixels per millimetre, the same for all sheets. */
  readonly scale: number;
  readonly slots: readonly Slot[];
  readonly height: number;
}
export interface BenchRoom {
  readonly width: number;
  readonly height: number;
  /** Pixels between sheets. */
  readonly gap: number;
  /** Pixels above each sheet for its name. */
  readonly header: number;
  /** Least pixels across for a sheet with its name. */
  readonly narrowest: number;
  /** Least pixels per millimetre; the bench gets longer than its room rather than smaller than this. */
  readonly least: number;
}

type Size = readonly [number, number];

/** A stretch of the lower border of what is taken so far. */
interface Step {
  left: number;
  width: number;
  top: number;
}

/**
 * Each sheet in turn goes where it lies highest, then most to the left (bottom-left along a skyline, turned upside down).
 * Undefined when a sheet is wider than the room.
 */
function packed(sizes: readonly Size[], order: readonly number[], scale: number, room: BenchRoom): Arrangement | undefined {
  const { gap, header } = room;
  let sky: Step[] = [{ left: 0, width: room.width + gap, top: 0 }];
  const slots: Slot[] = new Array<Slot>(sizes.length);
  let height = 0;
  for (const i of order) {
    const [w, h] = sizes[i] ?? [0, 0];
    const width = Math.max(w * scale, room.narrowest);
    const tall = h * scale + header;
    let best: { left: number; top: number } | undefined;
    for (const step of sky) {
      if (step.left + width > room.width + 0.01) break;
      const right = step.left + width + gap;
      const top = Math.max(...sky.filter((s) => s.left < right - 0.01 && s.left + s.width > step.left + 0.01).map((s) => s.top));
      if (!best || top < best.top - 0.01) best = { left: step.left, top };
    }
    if (!best) return undefined;
    slots[i] = { left: best.left, top: best.top, width, height: tall };
    height = Math.max(height, best.top + tall);
    sky = lowered(sky, { left: best.left, width: width + gap, top: best.top + tall + gap });
  }
  return { scale, slots, height };
}

function lowered(sky: readonly Step[], by: Step): Step[] {
  const right = by.left + by.width;
  const rest = sky.flatMap((s) => {
    const end = s.left + s.width;
    const pieces: Step[] = [];
    if (s.left < by.left) pieces.push({ ...s, width: Math.min(end, by.left) - s.left });
    if (end > right) pieces.push({ left: Math.max(s.left, right), width: end - Math.max(s.left, right), top: s.top });
    return pieces.filter((piece) => piece.width > 0.01);
  });
  return [...rest, by].sort((a, b) => a.left - b.left);
}

const scalesTried = 64;

/**
 * The largest scale at which all sheets are in the room, but no less than `least`: then the bench gets longer. A packing
 * may fail at one scale and succeed at a larger one, so scales are tried from the largest down.
 */
export function arranged(sizes: readonly Size[], room: BenchRoom): Arrangement {
  const by = (key: (size: Size) => number) =>
    sizes.map((_, i) => i).sort((a, b) => key(sizes[b] ?? [0, 0]) - key(sizes[a] ?? [0, 0]) || a - b);
  const orders = [by(() => 0), by((s) => s[1]), by((s) => s[0] * s[1])]; // as given, the tallest first, the largest first
  const most = room.width / Math.max(1, ...sizes.map((s) => s[0]));
  const least = Math.min(room.least, most);
  const at = (scale: number) =>
    orders.flatMap((order) => packed(sizes, order, scale, room) ?? []).sort((a, b) => a.height - b.height)[0];
  for (let i = 0; i < scalesTried; ++i) {
    const tried = at(most * (least / most) ** (i / (scalesTried - 1)));
    if (tried && tried.height <= room.height) return tried;
  }
  return at(least) ?? { scale: least, slots: [], height: 0 };
}
