// Sheets of the shelf: what is missing, and a fair guess at a sheet that would do.
import type { Drawing, Edit, Job, Sheet, Shop, TomlValue } from "./api";
import { largestPart } from "./choose";
import { materialsWithoutSheet } from "./places";

interface Usual {
  thickness: number;
  hold: string[];
}

// What such sheets usually are and how they are usually held; both are to be changed on the shelf.
const usualOf: Record<string, Usual> = {
  wood: { thickness: 6, hold: ["skin", "tape"] },
  panel: { thickness: 6, hold: ["skin", "tape"] },
  plywood: { thickness: 6, hold: ["skin", "tape"] },
  plastic: { thickness: 6, hold: ["tabs", "tape"] },
  metal: { thickness: 4, hold: ["tabs", "tape"] },
  laminate: { thickness: 3, hold: ["tabs", "tape"] },
};

export type NewSheet = { name: string; material: string; size: [number, number]; thickness: number; hold: string[] };

export function freshName(sheets: readonly { name: string }[], stem: string): string {
  const taken = new Set(sheets.map((sheet) => sheet.name));
  for (let i = 0; i < 26; ++i) {
    const name = `${stem}-${String.fromCharCode(97 + i)}`;
    if (!taken.has(name)) return name;
  }
  return `${stem}-${sheets.length + 1}`;
}

const roundUp = (value: number) => Math.ceil(value / 10) * 10;

/** Area of all pieces with twice as much for kerfs, holding and what lies between; sides at least what the largest piece
 *  takes, about three to two, within the machine's travel where there is one. */
export function suitableSize(area: number, largest: readonly [number, number], travel?: readonly number[]): [number, number] {
  const room = 40;
  const long = Math.max(...largest) + room;
  const short = Math.min(...largest) + room;
  let width = Math.max(long, Math.sqrt(2.6 * area * 1.5));
  let height = Math.max(short, (2.6 * area) / width);
  const most = travel ? [travel[0] ?? Infinity, travel[1] ?? Infinity] : [Infinity, Infinity];
  if (width > (most[0] ?? Infinity)) {
    width = most[0] ?? width;
    height = Math.max(height, (2.6 * area) / width);
  }
  height = Math.min(height, most[1] ?? height);
  return [Math.min(roundUp(width), Math.floor(most[0] ?? Infinity)), Math.min(roundUp(height), Math.floor(most[1] ?? Infinity))];
}

export function sheetFor(material: string, job: Job, drawing: Drawing, shop: Shop): NewSheet {
  const kind = shop.materials.find((known) => known.name === material)?.kind ?? "panel";
  const usual = usualOf[kind] ?? { thickness: 6, hold: ["tabs", "tape"] };
  const regions = drawing.regions.filter((region) => job.materials[region.name] === material);
  const area = regions.reduce((sum, region) => sum + region.area, 0);
  const largest = regions.reduce<[number, number]>(
    (best, region) => {
      const size = largestPart(drawing, region.name);
      return [Math.max(best[0], ...size), Math.max(best[1], Math.min(...size))];
    },
    [0, 0],
  );
  const travel = shop.machines.find((machine) => machine.name === job.machine.name)?.travel;
  return { name: freshName(job.sheets, material), material, size: suitableSize(area, largest, travel), ...usual };
}

/** One sheet for each material that pieces ask for and the shelf does not have. */
export function missingSheets(job: Job, drawing: Drawing, shop: Shop): NewSheet[] {
  return materialsWithoutSheet(job).map((material) => sheetFor(material, job, drawing, shop));
}

export function addSheet(sheet: NewSheet): Edit {
  const value: Record<string, TomlValue> = { ...sheet };
  return { append: "sheet", value };
}

export function setField(index: number, key: string, value: TomlValue): Edit {
  return { path: ["sheet", index, key], value };
}

/** Cells of a surface through few measured points: inverse distance weights (Shepard 1968), for the picture only. */
export function surfaceCells(sheet: Sheet, columns: number): { x: number; y: number; size: number; t: number }[] {
  if (sheet.measured.length === 0) return [];
  const size = sheet.size[0] / columns;
  const rows = Math.max(1, Math.round(sheet.size[1] / size));
  const cells = [];
  for (let j = 0; j < rows; ++j)
    for (let i = 0; i < columns; ++i) {
      const x = (i + 0.5) * size;
      const y = ((j + 0.5) * sheet.size[1]) / rows;
      cells.push({ x: i * size, y: (j * sheet.size[1]) / rows, size, t: thicknessAt(sheet.measured, x, y) });
    }
  return cells;
}

export function thicknessAt(measured: Sheet["measured"], x: number, y: number): number {
  let weights = 0;
  let sum = 0;
  for (const [px, py, t] of measured) {
    const d2 = (x - px) ** 2 + (y - py) ** 2;
    if (d2 < 1e-9) return t;
    weights += 1 / d2;
    sum += t / d2;
  }
  return sum / weights;
}
