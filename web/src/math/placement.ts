// Where a piece lies: rotate about the drawing frame's origin, then shift. Degrees, millimetres.

export type Point = readonly [number, number];
export type Ring = readonly Point[];
export interface Placement {
  readonly x: number;
  readonly y: number;
  readonly angle: number;
}
export interface Box {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

const radians = Math.PI / 180;

export function rotated(p: Point, degrees: number): Point {
  const c = Math.cos(degrees * radians);
  const s = Math.sin(degrees * radians);
  return [c * p[0] - s * p[1], s * p[0] + c * p[1]];
}

export function placed(p: Point, at: Placement): Point {
  const [x, y] = rotated(p, at.angle);
  return [x + at.x, y + at.y];
}

export function placedRing(ring: Ring, at: Placement): Point[] {
  const c = Math.cos(at.angle * radians);
  const s = Math.sin(at.angle * radians);
  return ring.map(([x, y]) => [c * x - s * y + at.x, s * x + c * y + at.y]);
}

/** An angle in (-180, 180]. */
export function tidyAngle(degrees: number): number {
  const a = ((degrees % 360) + 360) % 360;
  return a > 180 ? a - 360 : a;
}

/** The placement turned to `angle` with the point `pivot` (drawing's frame) staying where it lies. */
export function turnedAbout(at: Placement, pivot: Point, angle: number): Placement {
  const before = rotated(pivot, at.angle);
  const after = rotated(pivot, angle);
  return { x: at.x + before[0] - after[0], y: at.y + before[1] - after[1], angle: tidyAngle(angle) };
}

/** As the job file writes placements: whole hundredths. */
export function written(at: Placement): Placement {
  const hundredths = (v: number) => Math.round(v * 100) / 100 + 0;
  return { x: hundredths(at.x), y: hundredths(at.y), angle: hundredths(tidyAngle(at.angle)) };
}

export function samePlacement(a: Placement, b: Placement): boolean {
  return a.x === b.x && a.y === b.y && tidyAngle(a.angle - b.angle) === 0;
}

/** The smallest box around the points; empty input gives a box at the origin. */
export function boxOf(points: Iterable<Point>): Box {
  let x0 = Infinity;
  let y0 = Infinity;
  let x1 = -Infinity;
  let y1 = -Infinity;
  for (const [x, y] of points) {
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
  }
  return x0 <= x1 ? { x0, y0, x1, y1 } : { x0: 0, y0: 0, x1: 0, y1: 0 };
}

export function grownBox(box: Box, by: number): Box {
  return { x0: box.x0 - by, y0: box.y0 - by, x1: box.x1 + by, y1: box.y1 + by };
}

export function boxesMeet(a: Box, b: Box): boolean {
  return a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;
}
