// Colours of measured quantities. Each ramp runs evenly in lightness through Oklab (Ottosson 2020), so that it reads the
// same to colour-blind eyes and in grey.

export type Rgb = readonly [number, number, number]; // sRGB, 0..1
type Lab = readonly [number, number, number];

const linear = (v: number) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
const encoded = (v: number) => (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055);

export function toOklab([r, g, b]: Rgb): Lab {
  const [R, G, B] = [linear(r), linear(g), linear(b)];
  const l = Math.cbrt(0.4122214708 * R + 0.5363325363 * G + 0.0514459929 * B);
  const m = Math.cbrt(0.2119034982 * R + 0.6806995451 * G + 0.1073969566 * B);
  const s = Math.cbrt(0.0883024619 * R + 0.2817188376 * G + 0.6299787005 * B);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}

export function fromOklab([L, a, b]: Lab): Rgb {
  const l = (L + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (L - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (L - 0.0894841775 * a - 1.291485548 * b) ** 3;
  const clip = (v: number) => Math.min(1, Math.max(0, encoded(Math.max(0, v))));
  return [
    clip(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
    clip(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
    clip(-0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s),
  ];
}

/** Lightness 0.93 to 0.30: sand, through sea green, to ink. Hue and chroma bend, lightness runs straight. */
const depthStops: readonly Lab[] = [
  [0.93, 0.006, 0.042],
  [0.772, -0.045, 0.035],
  [0.615, -0.07, -0.012],
  [0.457, -0.04, -0.06],
  [0.3, 0.005, -0.075],
];

/** Depth of cut, 0 (untouched) to 1 (through). */
export function depthColour(share: number): Rgb {
  const t = Math.min(1, Math.max(0, Number.isFinite(share) ? share : 0)) * (depthStops.length - 1);
  const i = Math.min(Math.floor(t), depthStops.length - 2);
  const a = depthStops[i] ?? [0, 0, 0];
  const b = depthStops[i + 1] ?? a;
  const mix = (k: 0 | 1 | 2) => a[k] + (t - i) * (b[k] - a[k]);
  return fromOklab([mix(0), mix(1), mix(2)]);
}

export function css([r, g, b]: Rgb): string {
  return `rgb(${Math.round(255 * r)} ${Math.round(255 * g)} ${Math.round(255 * b)})`;
}

/** A table of `n` colours, 3 bytes each. */
export function depthTable(n: number): Uint8Array {
  const table = new Uint8Array(3 * n);
  for (let i = 0; i < n; ++i) table.set(depthColour(i / Math.max(1, n - 1)).map((v) => Math.round(255 * v)), 3 * i);
  return table;
}
