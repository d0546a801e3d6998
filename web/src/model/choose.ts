// Choosing several regions at once, and giving them a material.
import { boxOf } from "../math/placement";
import type { Drawing, Edit, Job, Region } from "./api";

/** As the job file's patterns: `*` stands for any characters. */
export function matches(pattern: string, name: string): boolean {
  const parts = pattern.split("*");
  const first = parts[0] ?? "";
  if (parts.length === 1) return name === pattern;
  const lastPart = parts[parts.length - 1] ?? "";
  if (!name.startsWith(first) || name.length < first.length + lastPart.length || !name.endsWith(lastPart)) return false;
  let from = first.length;
  for (const part of parts.slice(1, -1)) {
    const at = name.indexOf(part, from);
    if (at < 0) return false;
    from = at + part.length;
  }
  return from <= name.length - lastPart.length;
}

/** A word without a star finds what contains it. */
export function byPattern(regions: readonly Region[], pattern: string): string[] {
  const wanted = pattern.trim();
  if (wanted === "") return [];
  const full = wanted.includes("*") ? wanted : `*${wanted}*`;
  return regions.map((region) => region.name).filter((name) => matches(full, name));
}

export function byFill(regions: readonly Region[], fill: string): string[] {
  return regions.filter((region) => region.fill === fill).map((region) => region.name);
}

export function fillsOf(regions: readonly Region[]): string[] {
  return [...new Set(regions.map((region) => region.fill).filter((fill) => fill !== ""))];
}

export function byMaterial(job: Job, material: string): string[] {
  return Object.keys(job.materials).filter((name) => job.materials[name] === material);
}

/** Each region by its own name, the strongest pattern there is. Regions that have the material already are left. */
export function giveMaterial(job: Job, regions: readonly string[], material: string): Edit[] {
  return regions
    .filter((name) => job.materials[name] !== material)
    .map((name) => ({ path: ["pieces", name], value: material }));
}

/** The material of all of them, "" when they differ. */
export function commonMaterial(job: Job, regions: readonly string[]): string {
  const found = new Set(regions.map((name) => job.materials[name] ?? ""));
  return found.size === 1 ? ([...found][0] ?? "") : "";
}

export function several(names: readonly string[]): string {
  if (names.length <= 2) return names.join(" and ");
  return `${names[0]} and ${names.length - 1} more`;
}

/** Size of a region's largest part: width and height, mm. */
export function largestPart(drawing: Drawing, name: string): [number, number] {
  let best: [number, number] = [0, 0];
  for (const part of drawing.regions.find((region) => region.name === name)?.parts ?? []) {
    const box = boxOf(part[0] ?? []);
    const size: [number, number] = [box.x1 - box.x0, box.y1 - box.y0];
    if (size[0] * size[1] > best[0] * best[1]) best = size;
  }
  return best;
}
