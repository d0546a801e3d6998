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
    const width = w * scale;
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

/** The largest scale at which all sheets are in the room, but no less than `least`: then the bench gets longer. */
export function arranged(sizes: readonly Size[], room: BenchRoom): Arrangement {
  const given = sizes.map((_, i) => i);
  const tallFirst = [...given].sort((a, b) => (sizes[b]?.[1] ?? 0) - (sizes[a]?.[1] ?? 0) || a - b);
  const widest = Math.max(1, ...sizes.map((s) => s[0]));
  const most = room.width / widest;
  const least = Math.min(room.least, most);
  const at = (scale: number) =>
    [given, tallFirst].flatMap((order) => packed(sizes, order, scale, room) ?? []).sort((a, b) => a.height - b.height)[0];
  let low = least;
  let high = most;
  for (let i = 0; i < 24; ++i) {
    const middle = i === 0 ? most : (low + high) / 2;
    if ((at(middle)?.height ?? Infinity) <= room.height) low = middle;
    else high = middle;
  }
  return at(low) ?? { scale: low, slots: [], height: 0 };
}
