// A camera that looks at a point from a direction; turned, moved and brought nearer by mouse, touch and keys alike.

export interface Orbit {
  /** What is looked at. */
  readonly x: number;
  readonly y: number;
  readonly z: number;
  readonly distance: number;
  /** Degrees about Z; 0 looks along +Y. */
  readonly turn: number;
  /** Degrees above the bed; 90 looks straight down. */
  readonly tilt: number;
}

const radians = Math.PI / 180;
const clamp = (v: number, low: number, high: number) => Math.min(high, Math.max(low, v));

/** Unit vectors of the view: right, up, and from the target to the eye. */
export function axesOf(o: Orbit): { right: number[]; up: number[]; back: number[] } {
  const ct = Math.cos(o.turn * radians);
  const st = Math.sin(o.turn * radians);
  const ce = Math.cos(o.tilt * radians);
  const se = Math.sin(o.tilt * radians);
  return { right: [ct, st, 0], up: [-st * se, ct * se, ce], back: [st * ce, -ct * ce, se] };
}

export function eyeOf(o: Orbit): [number, number, number] {
  const { back } = axesOf(o);
  return [o.x + o.distance * (back[0] ?? 0), o.y + o.distance * (back[1] ?? 0), o.z + o.distance * (back[2] ?? 0)];
}

export function turned(o: Orbit, byTurn: number, byTilt: number): Orbit {
  return { ...o, turn: (((o.turn + byTurn) % 360) + 360) % 360, tilt: clamp(o.tilt + byTilt, 5, 90) };
}

/** Moves the target in the plane of the bed, so that what was under the hand stays there. Shares of the view's height. */
export function panned(o: Orbit, dx: number, dy: number, fieldOfView: number): Orbit {
  const size = 2 * o.distance * Math.tan((fieldOfView / 2) * radians);
  const { right } = axesOf(o);
  const ahead = [-(right[1] ?? 0), right[0] ?? 0];
  const along = dy / Math.max(0.3, Math.sin(o.tilt * radians));
  return {
    ...o,
    x: o.x - size * ((right[0] ?? 0) * dx + (ahead[0] ?? 0) * along),
    y: o.y - size * ((right[1] ?? 0) * dx + (ahead[1] ?? 0) * along),
  };
}

export function nearer(o: Orbit, factor: number, least: number, most: number): Orbit {
  return { ...o, distance: clamp(o.distance * factor, least, most) };
}

/** The nearest view that has the whole of a sheet in it, with a little air around. */
export function overview(width: number, height: number, aspect: number, fieldOfView: number, tilt = 52): Orbit {
  const half = 0.94 * Math.tan((fieldOfView / 2) * radians);
  const at = (distance: number): Orbit => ({ x: width / 2, y: height / 2, z: 0, distance, turn: 0, tilt });
  const { up, back } = axesOf(at(1));
  const corners = [-1, 1].flatMap((sx) => [-1, 1].map((sy) => [(sx * width) / 2, (sy * height) / 2] as const));
  // Each corner asks for a distance by itself: its share of the view is its offset over its depth.
  const distance = corners.map(([x, y]) => {
    const towards = y * (back[1] ?? 0);
    return towards + Math.max(Math.abs(y * (up[1] ?? 0)) / half, Math.abs(x) / (half * aspect));
  });
  return at(Math.max(20, ...distance));
}
