// Corners of an offcut as text: "0 0, 300 0, 300 120".
import type { Point, Ring } from "./api";

export function cornersText(ring: Ring): string {
  return ring.map(([x, y]) => `${Math.round(x * 100) / 100} ${Math.round(y * 100) / 100}`).join(", ");
}

/** Null when it is not three or more pairs of numbers. */
export function corners(text: string): Ring | null {
  const numbers = text.split(/[\s,;]+/).filter((word) => word !== "").map(Number);
  if (numbers.length < 6 || numbers.length % 2 !== 0 || numbers.some((n) => !Number.isFinite(n))) return null;
  const ring: Point[] = [];
  for (let i = 0; i < numbers.length; i += 2) ring.push([numbers[i] ?? 0, numbers[i + 1] ?? 0]);
  return ring;
}
