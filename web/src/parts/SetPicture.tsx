// The set of pieces: the constant heart of Drawing and Seams. Pieces are chosen by pointing, by a box, by keys.
import type { ComponentChildren } from "preact";
import { useRef, useState } from "preact/hooks";
import { boxOf } from "../math/placement";
import { labelPoint } from "../math/polygon";
import { simplifiedRing } from "../math/simplify";
import { nextInDirection } from "../math/view";
import type { Point, Ring, Rings } from "../model/api";
import type { Look } from "../model/look";
import { useGestures, type BoxDrawn } from "./gestures";
import { MaterialHatch } from "./MaterialHatch";
import { useView, type Camera } from "./useView";
import { ViewButtons } from "./ViewButtons";
import "./SetPicture.css";

export interface PicturePiece {
  id: string;
  parts: Rings[];
  look: Look | undefined;
  /** Said after the name: its material. */
  about: string;
}

interface Props {
  name: string;
  width: number;
  height: number;
  pieces: PicturePiece[];
  chosen: readonly string[];
  onChoose: (ids: string[]) => void;
  /** Drawn above the pieces, in picture units: millimetres, Y down from `height`. */
  overlay?: (camera: Camera) => ComponentChildren;
  labels?: boolean;
  quiet?: boolean;
}

interface Shape {
  id: string;
  path: string;
  at: Point;
  /** Where labels go: one for each part. */
  labels: { at: Point; room: number }[];
  box: BoxDrawn;
}

export function pathOf(rings: readonly Ring[], height: number): string {
  return rings.map((ring) => `M${ring.map(([x, y]) => `${x.toFixed(2)} ${(height - y).toFixed(2)}`).join("L")}Z`).join("");
}

// Rings do not change: what was made from them once serves every later picture.
const made = new WeakMap<Rings[], Shape>();

function shapeOf(piece: PicturePiece, height: number): Shape {
  const known = made.get(piece.parts);
  if (known) return known;
  const shape = makeShape(piece, height);
  made.set(piece.parts, shape);
  return shape;
}

function makeShape(piece: PicturePiece, height: number): Shape {
  const points = piece.parts.flatMap((part) => part[0] ?? []);
  const box = boxOf(points);
  const light = piece.parts.map((part) => part.map((ring) => simplifiedRing(ring, 0.6) as Ring));
  const labels = light.map((part) => labelPoint(part, 2));
  const best = labels.reduce((a, b) => (b.room > a.room ? b : a), { at: [0, 0] as readonly [number, number], room: 0 });
  return {
    id: piece.id,
    path: pathOf(piece.parts.flat(), height),
    at: [best.at[0], height - best.at[1]],
    labels: labels.map(({ at, room }) => ({ at: [at[0], height - at[1]], room })),
    box: { x0: box.x0, y0: height - box.y1, x1: box.x1, y1: height - box.y0 },
  };
}

const arrows: Record<string, readonly [number, number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

export function SetPicture({ name, width, height, pieces, chosen, onChoose, overlay, labels = true, quiet = false }: Props) {
  const camera = useView({ x: 0, y: 0, width, height });
  const [hand, setHand] = useState(() => matchMedia("(pointer: coarse)").matches);
  const shapes = pieces.map((piece) => shapeOf(piece, height));
  const [current, setCurrent] = useState(0);
  const list = useRef<SVGGElement>(null);
  const picked = new Set(chosen);

  const toggle = (id: string, adds: boolean) => {
    if (!adds) onChoose(picked.size === 1 && picked.has(id) ? [] : [id]);
    else onChoose(picked.has(id) ? chosen.filter((other) => other !== id) : [...chosen, id]);
  };
  const takeBox = (box: BoxDrawn, adds: boolean) => {
    const inside = shapes.filter(
      ({ box: b, at }) =>
        (b.x0 >= box.x0 && b.x1 <= box.x1 && b.y0 >= box.y0 && b.y1 <= box.y1) ||
        (at[0] >= box.x0 && at[0] <= box.x1 && at[1] >= box.y0 && at[1] <= box.y1),
    );
    const ids = inside.map((shape) => shape.id);
    onChoose(adds ? [...new Set([...chosen, ...ids])] : ids);
  };
  const { box, handlers, wasDrag } = useGestures(camera, hand, takeBox);

  const focusOn = (index: number) => {
    setCurrent(index);
    (list.current?.children[index] as SVGGElement | undefined)?.focus();
  };
  const onKeyDown = (event: KeyboardEvent) => {
    const direction = arrows[event.key];
    if (direction && event.altKey) camera.pan((direction[0] * camera.view.width) / 10, (direction[1] * camera.view.height) / 10);
    else if (direction) {
      const next = nextInDirection(shapes.map((shape) => shape.at), current, direction);
      if (next >= 0) focusOn(next);
    } else if (event.key === "Home") focusOn(0);
    else if (event.key === "End") focusOn(shapes.length - 1);
    else if (event.key === " " || event.key === "Enter") {
      const id = shapes[current]?.id;
      if (id) toggle(id, event.key === " " || event.shiftKey);
    } else if (event.key === "a" && (event.ctrlKey || event.metaKey)) onChoose(pieces.map((piece) => piece.id));
    else if (event.key === "Escape") onChoose([]);
    else if (event.key === "+" || event.key === "=") camera.zoom(0.8);
    else if (event.key === "-") camera.zoom(1.25);
    else if (event.key === "0") camera.fit();
    else return;
    event.preventDefault();
    event.stopPropagation();
  };

  const looks = new Map(pieces.flatMap((piece) => (piece.look ? [[hatchId(piece.about), piece.look] as const] : [])));
  const pixel = 1 / camera.scale;
  const { x, y, width: w, height: h } = camera.view;
  return (
    <div class={`set-picture${hand ? " hand" : ""}${quiet ? " quiet-pieces" : ""}`}>
      <svg ref={camera.svg} viewBox={`${x} ${y} ${w} ${h}`} {...handlers} onClick={(event) => event.target === event.currentTarget && !wasDrag() && onChoose([])}>
        <defs>
          {[...looks].map(([id, look]) => (
            <MaterialHatch key={id} id={id} look={look} scale={camera.scale} />
          ))}
        </defs>
        <g ref={list} role="listbox" aria-label={name} aria-multiselectable="true" onKeyDown={onKeyDown}>
          {pieces.map((piece, i) => (
            <g
              key={piece.id}
              class="piece"
              role="option"
              aria-label={`${piece.id}, ${piece.about || "no material"}`}
              aria-selected={picked.has(piece.id)}
              tabIndex={i === Math.min(current, pieces.length - 1) ? 0 : -1}
              data-piece={piece.id}
              onFocus={() => setCurrent(i)}
              onClick={(event) => !wasDrag() && toggle(piece.id, event.shiftKey || event.ctrlKey || event.metaKey || hand)}
            >
              <path class="ground" d={shapes[i]?.path} style={{ "--hue": `${piece.look?.hue ?? 0}`, "--bare": piece.look ? "1" : "0" }} />
              {piece.look && <path class="marks" d={shapes[i]?.path} fill={`url(#${hatchId(piece.about)})`} />}
              <path class="border" d={shapes[i]?.path} />
            </g>
          ))}
        </g>
        {overlay?.(camera)}
        {labels && (
          <g class="labels" aria-hidden="true">
            {shapes.flatMap((shape, i) =>
              shape.labels.map((place, k) => (
                <Label key={`${shape.id} ${k}`} text={shape.id} place={place} pixel={pixel} about={quiet ? "" : (pieces[i]?.about ?? "")} chosen={picked.has(shape.id)} />
              )),
            )}
          </g>
        )}
        {box && <rect class="lasso" x={box.x0} y={box.y0} width={box.x1 - box.x0} height={box.y1 - box.y0} />}
      </svg>
      <ViewButtons camera={camera} hand={hand} onHand={setHand} />
    </div>
  );
}

function hatchId(material: string): string {
  return `hatch-${material.replace(/[^a-z0-9-]/gi, "-")}`;
}

interface LabelProps {
  text: string;
  place: { at: Point; room: number };
  pixel: number;
  about: string;
  chosen: boolean;
}

function Label({ text, place, pixel, about, chosen }: LabelProps) {
  const room = place.room / pixel; // pixels from the label's place to the next border
  if (room < 14) return null;
  const size = 13 * pixel;
  const small = 11 * pixel;
  const two = room > 24 && about !== "";
  return (
    <g class={chosen ? "chosen" : undefined} transform={`translate(${place.at[0]} ${place.at[1]})`}>
      <text style={{ fontSize: `${size}px`, strokeWidth: `${3 * pixel}px` }} dy={two ? -0.1 * size : 0.35 * size}>
        {text}
      </text>
      {two && (
        <text class="about" style={{ fontSize: `${small}px`, strokeWidth: `${3 * pixel}px` }} dy={1.15 * small}>
          {about}
        </text>
      )}
    </g>
  );
}
