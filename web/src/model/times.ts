// Times and money as people read them.

/** "1:04:09", "13:28", "0:45"; tenths below ten seconds where asked. */
export function clock(seconds: number, tenths = false): string {
  const s = Math.max(0, tenths ? Math.floor(seconds * 10 + 1e-6) / 10 : Math.round(seconds));
  const h = Math.floor(s / 3600);
  const m = Math.floor((s % 3600) / 60);
  const rest = s - 3600 * h - 60 * m;
  const two = (v: number) => String(v).padStart(2, "0");
  const last = tenths ? rest.toFixed(1).padStart(4, "0") : two(Math.round(rest));
  return h > 0 ? `${h}:${two(m)}:${last}` : `${m}:${last}`;
}

/** The same in words, for those who hear the page: "13 minutes 28 seconds". */
export function spokenTime(seconds: number): string {
  const s = Math.max(0, Math.round(seconds));
  const parts = [
    [Math.floor(s / 3600), "hour"],
    [Math.floor((s % 3600) / 60), "minute"],
    [s % 60, "second"],
  ] as const;
  const said = parts.filter(([v]) => v > 0).map(([v, unit]) => `${v} ${unit}${v === 1 ? "" : "s"}`);
  return said.length > 0 ? said.join(" ") : "0 seconds";
}

export function money(value: number, currency: string): string {
  try {
    return new Intl.NumberFormat("en-GB", { style: "currency", currency }).format(value);
  } catch {
    return `${value.toFixed(2)} ${currency}`;
  }
}

/** The next time that a tick may stand at: 1, 2, 5, 10, 15, 30 s and so on, at least `least` seconds apart. */
export function tickStep(least: number): number {
  const steps = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 28800];
  return steps.find((s) => s >= least) ?? 28800 * Math.ceil(least / 28800);
}

export function ticks(total: number, least: number): number[] {
  const step = tickStep(least);
  const at: number[] = [];
  for (let t = 0; t <= total + 1e-9 && at.length < 200; t += step) at.push(t);
  return at;
}
