// Pan and zoom of an SVG picture: wheel, pinch, middle button, keys. Dragging with the left button belongs to the picture.
import type { RefObject } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { fitted, moved, zoomed, type View } from "../math/view";

export interface Camera {
  svg: RefObject<SVGSVGElement | null>;
  view: View;
  /** Pixels per unit. */
  scale: number;
  fit: () => void;
  zoom: (factor: number) => void;
  pan: (dx: number, dy: number) => void;
  /** Shows a box, as closely as it goes. */
  show: (box: View) => void;
  /** Client coordinates to picture units. */
  at: (event: { clientX: number; clientY: number }) => [number, number];
}

export function useView(whole: View): Camera {
  const svg = useRef<SVGSVGElement>(null);
  const [window, setWindow] = useState({ width: 800, height: 500 });
  const [seen, setSeen] = useState<View | null>(null);
  const ratio = window.width / window.height;
  const all = fitted(whole, ratio);
  const view = seen === null ? all : { ...seen, height: seen.width / ratio };
  const latest = useRef({ view, all, window });
  latest.current = { view, all, window };

  const at: Camera["at"] = ({ clientX, clientY }) => {
    const box = svg.current?.getBoundingClientRect();
    const { view: v } = latest.current;
    if (!box || box.width === 0) return [0, 0];
    return [v.x + ((clientX - box.left) / box.width) * v.width, v.y + ((clientY - box.top) / box.height) * v.height];
  };
  const zoomAt = (factor: number, point: [number, number]) =>
    setSeen(zoomed(latest.current.view, factor, point, latest.current.all.width / 4000, latest.current.all.width * 1.5));

  useEffect(() => {
    const element = svg.current;
    if (!element) return;
    const observer = new ResizeObserver(([entry]) => {
      const box = entry?.contentRect;
      if (box && box.width > 0 && box.height > 0) setWindow({ width: box.width, height: box.height });
    });
    observer.observe(element);
    const wheel = (event: WheelEvent) => {
      event.preventDefault();
      zoomAt(Math.exp(event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.0015)), at(event));
    };
    element.addEventListener("wheel", wheel, { passive: false });
    return () => {
      observer.disconnect();
      element.removeEventListener("wheel", wheel);
    };
  }, []);

  return {
    svg,
    view,
    scale: window.width / view.width,
    fit: () => setSeen(null),
    zoom: (factor) => zoomAt(factor, [view.x + view.width / 2, view.y + view.height / 2]),
    pan: (dx, dy) => setSeen(moved(latest.current.view, dx, dy)),
    show: (box) => setSeen(fitted(box, latest.current.window.width / latest.current.window.height, 0)),
    at,
  };
}
