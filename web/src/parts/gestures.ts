// One finger or button chooses (a tap) or draws a box (a drag); two fingers, the middle button, or a drag while the hand
// is on move the picture.
import { useRef, useState } from "preact/hooks";
import { zoomed } from "../math/view";
import type { Camera } from "./useView";

export interface BoxDrawn {
  x0: number;
  y0: number;
  x1: number;
  y1: number;
}

interface Down {
  x: number;
  y: number;
  from: [number, number];
  moves: boolean;
  far: boolean;
}

const FAR = 5; // pixels before a press becomes a drag

export function useGestures(camera: Camera, hand: boolean, onBox: (box: BoxDrawn, adds: boolean) => void) {
  const down = useRef(new Map<number, Down>());
  const [box, setBox] = useState<BoxDrawn | null>(null);
  /** True while the click that ends a drag is still to come. */
  const dragged = useRef(false);

  const onPointerDown = (event: PointerEvent) => {
    if (event.button === 2) return;
    dragged.current = false;
    const moves = hand || event.button === 1;
    down.current.set(event.pointerId, { x: event.clientX, y: event.clientY, from: camera.at(event), moves, far: false });
  };
  const onPointerMove = (event: PointerEvent) => {
    const press = down.current.get(event.pointerId);
    if (!press) return;
    const dx = event.clientX - press.x;
    const dy = event.clientY - press.y;
    if (!press.far && Math.hypot(dx, dy) < FAR) return;
    if (!press.far) (event.currentTarget as Element).setPointerCapture(event.pointerId);
    press.far = true;
    dragged.current = true;
    if (down.current.size === 2) {
      const other = [...down.current.entries()].find(([id]) => id !== event.pointerId)?.[1];
      if (other) pinch(press, other, event);
    } else if (press.moves) {
      camera.pan(-dx / camera.scale, -dy / camera.scale);
    } else {
      const [x, y] = camera.at(event);
      setBox({ x0: Math.min(x, press.from[0]), y0: Math.min(y, press.from[1]), x1: Math.max(x, press.from[0]), y1: Math.max(y, press.from[1]) });
      return;
    }
    press.x = event.clientX;
    press.y = event.clientY;
  };
  const pinch = (press: Down, other: Down, event: PointerEvent) => {
    setBox(null);
    const before = Math.hypot(press.x - other.x, press.y - other.y);
    const after = Math.hypot(event.clientX - other.x, event.clientY - other.y);
    if (before < 1 || after < 1) return;
    const middle = camera.at({ clientX: (event.clientX + other.x) / 2, clientY: (event.clientY + other.y) / 2 });
    const next = zoomed(camera.view, before / after, middle, 0.1, 1e5);
    camera.show(next);
  };
  const end = (event: PointerEvent) => {
    const press = down.current.get(event.pointerId);
    down.current.delete(event.pointerId);
    if (box && press?.far && event.type === "pointerup") onBox(box, event.shiftKey || event.ctrlKey || event.metaKey);
    setBox(null);
  };
  return {
    box,
    wasDrag: () => dragged.current,
    handlers: { onPointerDown, onPointerMove, onPointerUp: end, onPointerCancel: end },
  };
}
