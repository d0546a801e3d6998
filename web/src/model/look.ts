// How materials look: a hatch and a tint each, so that colour is never the only sign. Hatches follow the kind.

export type HatchForm = "grain" | "grid" | "dots" | "lines" | "pairs" | "cross";

export interface Look {
  readonly form: HatchForm;
  /** Degrees from X. */
  readonly angle: number;
  /** Pixels between lines. */
  readonly spacing: number;
  /** Oklab hue, degrees, for the tint; its lightness is the theme's. */
  readonly hue: number;
}

const byKind: Record<string, { form: HatchForm; angle: number; spacing: number; hue: number }> = {
  wood: { form: "grain", angle: 0, spacing: 7, hue: 50 },
  panel: { form: "dots", angle: 30, spacing: 7, hue: 95 },
  plywood: { form: "grid", angle: 0, spacing: 9, hue: 85 },
  plastic: { form: "lines", angle: -45, spacing: 9, hue: 230 },
  metal: { form: "pairs", angle: 45, spacing: 9, hue: 260 },
  laminate: { form: "cross", angle: 45, spacing: 8, hue: 300 },
};
const other = { form: "lines", angle: 20, spacing: 8, hue: 150 } as const;

/** Materials of one kind differ in angle, spacing and hue, in the order given. */
export function looksOf(materials: readonly { name: string; kind: string }[]): Map<string, Look> {
  const seen = new Map<string, number>();
  return new Map(
    materials.map(({ name, kind }) => {
      const n = seen.get(kind) ?? 0;
      seen.set(kind, n + 1);
      const { form, angle, spacing, hue } = byKind[kind] ?? other;
      const turn = form === "grain" ? 0 : (n % 4) * 23;
      return [name, { form, angle: angle + turn, spacing: spacing + 2.5 * (n % 3), hue: (hue + 14 * n) % 360 }];
    }),
  );
}
