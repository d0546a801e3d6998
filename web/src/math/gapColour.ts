// Colours of gap error and of moved borders. Diverging: blue where the gap is too narrow, orange where it is too wide,
// the theme's ink in between; blue and orange stay apart for every common kind of colour blindness. The weight of the
// line is the second sign.

export interface SeamSign {
  /** Share of the scale, -1 (too narrow) to 1 (too wide). */
  share: number;
  colour: string;
  /** Pixels. */
  weight: number;
  dash: string;
}

/** `full`: the error at which the scale ends, mm. */
export function gapSign(error: number, full: number): SeamSign {
  const share = Math.max(-1, Math.min(1, full > 0 ? error / full : 0));
  const strength = Math.abs(share);
  const end = share < 0 ? "var(--gap-narrow)" : "var(--gap-wide)";
  const percent = Math.round(100 * strength ** 0.7);
  return {
    share,
    colour: `color-mix(in oklab, ${end} ${percent}%, var(--gap-none))`,
    weight: 2 + 4 * strength,
    dash: share < -0.5 ? "2 5" : "",
  };
}

/** A round end for a scale: 1, 2 or 5 times a power of ten, not below the largest error seen. */
export function roundScale(errors: readonly number[], least = 0.005): number {
  const most = Math.max(least, ...errors.map(Math.abs));
  const power = 10 ** Math.floor(Math.log10(most));
  return [1, 2, 5, 10].map((f) => f * power).find((end) => end >= most * (1 - 1e-9)) ?? most;
}
