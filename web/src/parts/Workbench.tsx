// The work above, and along the bottom the bench strip that tells about what is chosen. The strip's edge is moved by
// pointer or by arrow keys; its height is kept.
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import "./Workbench.css";

interface Props {
  /** Keeps the strip's height apart for each place. */
  name: string;
  bench: ComponentChildren;
  benchName: string;
  /** A class for the strip. */
  kind?: string;
  height?: number;
  children: ComponentChildren;
}

const LEAST = 96;

function stored(key: string, otherwise: number): number {
  const value = Number(localStorage.getItem(key));
  return Number.isFinite(value) && value >= LEAST ? value : otherwise;
}

export function Workbench({ name, bench, benchName, kind, height: usual = 216, children }: Props) {
  const key = `kerfwright-bench-${name}`;
  const [height, setHeight] = useState(() => stored(key, innerHeight > 1000 ? 1.4 * usual : usual));
  const most = () => Math.max(LEAST, Math.round(innerHeight * 0.62));
  const set = (value: number) => {
    const next = Math.round(Math.min(most(), Math.max(LEAST, value)));
    setHeight(next);
    localStorage.setItem(key, String(next));
  };
  const onKeyDown = (event: KeyboardEvent) => {
    const step = { ArrowUp: 24, ArrowDown: -24, PageUp: 96, PageDown: -96 }[event.key];
    if (step === undefined) return;
    event.preventDefault();
    set(height + step);
  };
  const onPointerDown = (event: PointerEvent) => {
    const handle = event.currentTarget as HTMLElement;
    const from = event.clientY;
    handle.setPointerCapture(event.pointerId);
    const move = (e: PointerEvent) => set(height + from - e.clientY);
    const stop = () => {
      handle.removeEventListener("pointermove", move);
      handle.removeEventListener("pointerup", stop);
      handle.removeEventListener("pointercancel", stop);
    };
    handle.addEventListener("pointermove", move);
    handle.addEventListener("pointerup", stop);
    handle.addEventListener("pointercancel", stop);
  };
  return (
    <div class="workbench" style={{ gridTemplateRows: `minmax(0, 1fr) auto min(${height}px, 62vh)` }}>
      <div class="heart">{children}</div>
      <div
        class="bench-edge"
        role="separator"
        aria-orientation="horizontal"
        aria-label={`Height of ${benchName}`}
        aria-valuenow={height}
        aria-valuemin={LEAST}
        aria-valuemax={most()}
        tabIndex={0}
        onKeyDown={onKeyDown}
        onPointerDown={onPointerDown}
      />
      <section class={`bench-strip ${kind ?? ""}`} aria-label={benchName} tabIndex={0}>
        {bench}
      </section>
    </div>
  );
}
