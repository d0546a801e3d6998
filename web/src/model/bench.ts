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

/** Left to right, row by row, in the order given; each row as high as its highest sheet. */
export function inRows(sizes: readonly (readonly [number, number])[], scale: number, room: BenchRoom): Arrangement {
  const slots: Slot[] = [];
  let left = 0;
  let top = 0;
  let rowHeight = 0;
  for (const [w, h] of sizes) {
    const width = w * scale;
    const height = h * scale + room.header;
    if (left > 0 && left + width > room.width + 0.01) {
      top += rowHeight + room.gap;
      left = 0;
      rowHeight = 0;
    }
    slots.push({ left, top, width, height });
    left += width + room.gap;
    rowHeight = Math.max(rowHeight, height);
  }
  return { scale, slots, height: top + rowHeight };
}

/** The largest scale at which all sheets are in the room, but no less than `least`. */
export function arranged(sizes: readonly (readonly [number, number])[], room: BenchRoom): Arrangement {
  const widest = Math.max(1, ...sizes.map((s) => s[0]));
  let high = Math.max(room.least, room.width / widest);
  let low = room.least;
  if (inRows(sizes, high, room).height <= room.height) return inRows(sizes, high, room);
  for (let i = 0; i < 24; ++i) {
    const middle = (low + high) / 2;
    const fits = inRows(sizes, middle, room).height <= room.height;
    if (fits) low = middle;
    else high = middle;
  }
  return inRows(sizes, Math.min(low, Math.max(room.least, room.width / widest)), room);
}
