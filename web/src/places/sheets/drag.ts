// A drag from press to release, told in pixels; what moves may be drawn anew meanwhile.

export interface Drag {
  /** Moved by at least a few pixels since the press. */
  readonly onMove: (event: PointerEvent) => void;
  /** `moved`: false for a mere press. */
  readonly onEnd: (moved: boolean) => void;
  readonly onCancel: () => void;
}

const threshold = 4;

export function follow(press: PointerEvent, drag: Drag): void {
  if (press.button !== 0) return;
  const over = new AbortController();
  let moved = false;
  const mine = (event: PointerEvent) => event.pointerId === press.pointerId;
  const end = (finish: () => void) => {
    over.abort();
    finish();
  };
  const listen = { signal: over.signal };
  addEventListener(
    "pointermove",
    (event) => {
      if (!mine(event)) return;
      moved ||= Math.hypot(event.clientX - press.clientX, event.clientY - press.clientY) >= threshold;
      if (moved) drag.onMove(event);
    },
    listen,
  );
  addEventListener("pointerup", (event) => mine(event) && end(() => drag.onEnd(moved)), listen);
  addEventListener("pointercancel", (event) => mine(event) && end(drag.onCancel), listen);
  addEventListener("keydown", (event) => event.key === "Escape" && end(drag.onCancel), listen);
}

/** A finger on something that can be dragged scrolls nothing (touch-action alone does not reach into SVG everywhere). */
export function keepStill(event: TouchEvent): void {
  event.preventDefault();
  (event.currentTarget as SVGElement | null)?.focus();
}

/** The board under the pointer, and where on its sheet the pointer is, in mm from the lower left. */
export function boardAt(x: number, y: number): { sheet: string; at: [number, number]; scale: number } | undefined {
  for (const element of document.querySelectorAll<SVGSVGElement>("svg[data-sheet]")) {
    const box = element.getBoundingClientRect();
    if (x < box.left || x > box.right || y < box.top || y > box.bottom) continue;
    const scale = Number(element.dataset["scale"]) || 1;
    return { sheet: element.dataset["sheet"] ?? "", at: [(x - box.left) / scale, (box.bottom - y) / scale], scale };
  }
  return undefined;
}
