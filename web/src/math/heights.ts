// The stock's height field as the server sends it (heights at the points of a grid), and the triangles that show it.

export interface HeightField {
  readonly x0: number;
  readonly y0: number;
  readonly cell: number;
  readonly columns: number;
  readonly rows: number;
  /** Row by row from the lower left; 0 where cut through. */
  readonly z: Float32Array;
}

/** Undefined when header and body do not belong together. */
export function heightFieldOf(header: unknown, z: Float32Array): HeightField | undefined {
  if (typeof header !== "object" || header === null) return undefined;
  const { x0, y0, cell, columns, rows } = header as Record<string, unknown>;
  const all = [x0, y0, cell, columns, rows];
  if (!all.every((v): v is number => typeof v === "number" && Number.isFinite(v))) return undefined;
  const field = { x0, y0, cell, columns, rows, z } as HeightField;
  const sound = field.cell > 0 && field.columns >= 1 && field.rows >= 1 && z.length === field.columns * field.rows;
  return sound ? field : undefined;
}

export function heightAt(field: HeightField, x: number, y: number): number | undefined {
  const i = Math.round((x - field.x0) / field.cell);
  const j = Math.round((y - field.y0) / field.cell);
  if (i < 0 || j < 0 || i >= field.columns || j >= field.rows) return undefined;
  return field.z[j * field.columns + i];
}

export interface Mesh {
  readonly positions: Float32Array;
  /** Depth below the stock's top for every vertex, to colour by; the stock's own sides count as uncut. */
  readonly depths: Float32Array;
  readonly indices: Uint32Array;
}

/**
 * The top of the stock: a vertex at every point. Triangles with all corners cut through are left out, so
 * that what is cut away shows the bed below. `top` is the sheet's top face.
 */
export function meshOf(field: HeightField & { readonly rim?: true }, top: number): Mesh {
  const { columns, rows, cell, z } = field;
  // A rim stands straight below the outermost points.
  const clamped = (k: number, count: number) => (field.rim ? Math.min(Math.max(k, 1), count - 2) : k);
  const n = columns * rows;
  const positions = new Float32Array(3 * n);
  const depths = new Float32Array(n);
  for (let j = 0, v = 0; j < rows; ++j) {
    for (let i = 0; i < columns; ++i, ++v) {
      const h = z[v] ?? 0;
      positions[3 * v] = field.x0 + clamped(i, columns) * cell;
      positions[3 * v + 1] = field.y0 + clamped(j, rows) * cell;
      positions[3 * v + 2] = h;
      const side = field.rim === true && (i === 0 || j === 0 || i === columns - 1 || j === rows - 1);
      depths[v] = side ? 0 : Math.max(0, top - h);
    }
  }
  const indices = new Uint32Array(6 * Math.max(0, columns - 1) * Math.max(0, rows - 1));
  let count = 0;
  for (let j = 0; j + 1 < rows; ++j) {
    for (let i = 0; i + 1 < columns; ++i) {
      const a = j * columns + i;
      const b = a + 1;
      const c = a + columns;
      const d = c + 1;
      if (!(z[a] || z[b] || z[c] || z[d])) continue;
      // The shorter diagonal in height keeps slot walls straight.
      const first = Math.abs((z[a] ?? 0) - (z[d] ?? 0)) <= Math.abs((z[b] ?? 0) - (z[c] ?? 0));
      indices.set(first ? [a, b, d, a, d, c] : [a, b, c, b, d, c], count);
      count += 6;
    }
  }
  return { positions, depths, indices: indices.slice(0, count) };
}

/** The same field with its rim let down to the bed, so that the stock has sides. */
export function withSides(field: HeightField): HeightField & { readonly rim: true } {
  const columns = field.columns + 2;
  const rows = field.rows + 2;
  const z = new Float32Array(columns * rows);
  for (let j = 0; j < field.rows; ++j)
    z.set(field.z.subarray(j * field.columns, (j + 1) * field.columns), (j + 1) * columns + 1);
  return { x0: field.x0 - field.cell, y0: field.y0 - field.cell, cell: field.cell, columns, rows, z, rim: true };
}
