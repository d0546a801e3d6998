// Hands on the view: a drag turns, with the right button, Shift or two fingers it moves; wheel, pinch and keys near it.
import type { Signal } from "@preact/signals";
import { nearer, panned, turned, type Orbit } from "../../math/orbit";

const fieldOfView = 32;
const least = 15;
const most = 5000;

export interface Overviews {
  whole: () => void;
  above: () => void;
}

export function hold(canvas: HTMLCanvasElement, orbit: Signal<Orbit>, to: Overviews): () => void {
  const down = new Map<number, { x: number; y: number }>();
  const over = new AbortController();
  const on = <K extends keyof HTMLElementEventMap>(type: K, does: (event: HTMLElementEventMap[K]) => void) =>
    canvas.addEventListener(type, does, { signal: over.signal, passive: false });

  on("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    canvas.focus();
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
  });
  const up = (event: PointerEvent) => void down.delete(event.pointerId);
  on("pointerup", up);
  on("pointercancel", up);
  on("contextmenu", (event) => event.preventDefault());
  on("pointermove", (event) => {
    const before = down.get(event.pointerId);
    if (!before) return;
    const now = { x: event.clientX, y: event.clientY };
    const dx = now.x - before.x;
    const dy = now.y - before.y;
    const high = Math.max(1, canvas.clientHeight);
    if (down.size === 2) {
      const other = [...down].find(([id]) => id !== event.pointerId)?.[1];
      if (other) {
        const apart = (p: { x: number; y: number }) => Math.max(1, Math.hypot(p.x - other.x, p.y - other.y));
        orbit.value = nearer(panned(orbit.value, dx / 2 / high, dy / -2 / high, fieldOfView), apart(before) / apart(now), least, most);
      }
    } else if (event.shiftKey || event.buttons === 2 || event.buttons === 4) {
      orbit.value = panned(orbit.value, dx / high, -dy / high, fieldOfView);
    } else {
      orbit.value = turned(orbit.value, -0.4 * dx, 0.3 * dy);
    }
    down.set(event.pointerId, now);
  });
  on("wheel", (event) => {
    event.preventDefault();
    orbit.value = nearer(orbit.value, Math.exp(0.0012 * Math.max(-300, Math.min(300, event.deltaY))), least, most);
  });
  on("keydown", (event) => {
    const next = byKey(orbit.value, event.key, event.shiftKey);
    if (next) orbit.value = next;
    else if (event.key === "0") to.whole();
    else if (event.key === "9") to.above();
    else return;
    event.preventDefault();
  });
  return () => over.abort();
}

function byKey(o: Orbit, key: string, shift: boolean): Orbit | undefined {
  const move = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[key];
  if (move) {
    const [x = 0, y = 0] = move;
    return shift ? panned(o, -0.06 * x, -0.06 * y, fieldOfView) : turned(o, 6 * x, 5 * y);
  }
  if (key === "+" || key === "=") return nearer(o, 0.87, least, most);
  if (key === "-") return nearer(o, 1.15, least, most);
  return undefined;
}
