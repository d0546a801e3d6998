// The time that the proof shows, moved by hand, by key, or by playing.

export const speeds = [1, 4, 16, 64, 256] as const;

/** How far a key moves the time, or undefined for keys that do not. `span` is the whole time. */
export function keyStep(key: string, shift: boolean, span: number): "start" | "end" | number | undefined {
  switch (key) {
    case "ArrowLeft":
      return shift ? -0.1 : -1;
    case "ArrowRight":
      return shift ? 0.1 : 1;
    case "ArrowDown":
      return shift ? -0.1 : -1;
    case "ArrowUp":
      return shift ? 0.1 : 1;
    case "PageDown":
      return -span / 20;
    case "PageUp":
      return span / 20;
    case "Home":
      return "start";
    case "End":
      return "end";
    default:
      return undefined;
  }
}

export function stepped(time: number, step: "start" | "end" | number, span: number): number {
  if (step === "start") return 0;
  if (step === "end") return span;
  return Math.min(span, Math.max(0, time + step));
}

/** A playing speed at which the whole takes about `seconds` to watch, among those offered. */
export function fittingSpeed(span: number, seconds = 40): number {
  return speeds.find((s) => span / s <= seconds) ?? speeds[speeds.length - 1] ?? 1;
}
