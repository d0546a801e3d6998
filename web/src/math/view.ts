// What part of a picture is seen: a box in picture units (Y down), kept in the shape of its window.

export interface View {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** The whole of `box` in a window of `ratio` (width over height), with a margin around it. */
export function fitted(box: View, ratio: number, margin = 0.04): View {
  const grown = 1 + 2 * margin;
  const width = Math.max(box.width * grown, box.height * grown * ratio);
  const height = width / ratio;
  return { x: box.x + (box.width - width) / 2, y: box.y + (box.height - height) / 2, width, height };
}

/** Nearer (factor below 1) or farther, with the point `at` staying where it is. */
export function zoomed(view: View, factor: number, at: readonly [number, number], least: number, most: number): View {
  const width = Math.min(most, Math.max(least, view.width * factor));
  const f = width / view.width;
  return { x: at[0] - (at[0] - view.x) * f, y: at[1] - (at[1] - view.y) * f, width, height: view.height * f };
}

export function moved(view: View, dx: number, dy: number): View {
  return { ...view, x: view.x + dx, y: view.y + dy };
}

/** The candidate that lies best in a direction: near, and little aside. -1 when nothing lies there. */
export function nextInDirection(
  centres: readonly (readonly [number, number])[],
  from: number,
  direction: readonly [number, number],
): number {
  const start = centres[from];
  if (!start) return centres.length > 0 ? 0 : -1;
  let best = -1;
  let cost = Infinity;
  centres.forEach((centre, i) => {
    const dx = centre[0] - start[0];
    const dy = centre[1] - start[1];
    const along = dx * direction[0] + dy * direction[1];
    const aside = Math.abs(dx * direction[1] - dy * direction[0]);
    if (i === from || along <= 0 || aside > 2 * along) return;
    const c = along + 2 * aside;
    if (c < cost) {
      cost = c;
      best = i;
    }
  });
  return best;
}
