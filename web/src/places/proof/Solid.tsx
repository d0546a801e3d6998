// The three-dimensional view and how it is held: mouse, touch and keys turn, move and near it alike.
import { effect, useSignal } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { overview, type Orbit } from "../../math/orbit";
import { placed } from "../../math/placement";
import { labelPoint } from "../../math/polygon";
import { lightOutline } from "../../math/apart";
import type { Plan, Setup } from "../../model/api";
import { theme } from "../../shell/theme";
import { hold } from "./hold";
import { chosenFinding, findingsHere, goTo, lift, replay, time, tip } from "./moment";
import { clampSolids, cutterSolid, piecesOf, piecesBetween, type PathPieces } from "./solids";
import { surface } from "./surface";
import type { Inks, View } from "./scene";

interface SolidProps {
  plan: Plan;
  chosen: Setup;
  onFail: () => void;
}

interface Label {
  text: string;
  at: readonly [number, number, number];
}

export function labelsOf(plan: Plan, chosen: Setup): Label[] {
  const top = chosen.stock.thickness;
  const tray = plan.tray?.setup === chosen.name ? [{ id: "tray", setup: chosen.name, placement: plan.tray.placement, outline: plan.tray.wall }] : [];
  return [...plan.pieces, ...tray]
    .filter((piece) => piece.setup === chosen.name)
    .map((piece) => {
      const { x, y, angle_deg } = piece.placement;
      const [px, py] = placed(labelPoint(lightOutline(piece.outline, 0.3), 2).at, { x, y, angle: angle_deg });
      return { text: piece.id, at: [px, py, top] };
    });
}

function inksNow(): Inks {
  const style = getComputedStyle(document.documentElement);
  const of = (name: string) => style.getPropertyValue(name).trim();
  const dark = of("color-scheme") === "dark";
  return {
    paper: of("--paper"), bed: dark ? "#2a323a" : "#e6dfcf", rule: dark ? "#3a444e" : "#cfc6b2", ink: of("--ink"),
    path: dark ? "#f0c27a" : "#7a2f00", clamp: of("--edge"),
  };
}

export function Solid({ plan, chosen, onFail }: SolidProps) {
  const box = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const overlay = useRef<HTMLDivElement>(null);
  const shownPath = useSignal<Shown>("minute");
  const orbit = useSignal<Orbit>(overview(...chosen.stock.size, 1.6, 32));
  const view = useSignal<View | null>(null);
  const labels = useMemo(() => labelsOf(plan, chosen), [plan, chosen]);
  const [width, height] = chosen.stock.size;
  const top = chosen.stock.thickness;
  const aspect = () => (box.current ? box.current.clientWidth / Math.max(1, box.current.clientHeight) : 1.6);
  const home = useRef<Orbit>(orbit.value);
  const whole = () => void (orbit.value = home.current = overview(width, height, aspect(), 32));
  const above = () => void (orbit.value = overview(width, height, aspect(), 32, 90));

  useEffect(() => {
    let over = false;
    let made: View | null = null;
    let stop = () => {};
    let watch: ResizeObserver | undefined;
    void import("./scene").then(({ viewOn }) => {
      if (over || !canvas.current || !box.current) return;
      try {
        made = viewOn(canvas.current, chosen.stock.size);
      } catch {
        onFail();
        return;
      }
      const now = made;
      const fit = () => {
        if (box.current) now.resize(box.current.clientWidth, box.current.clientHeight);
        if (orbit.value === home.current) whole(); // nobody has turned it yet
        else orbit.value = { ...orbit.value };
      };
      watch = new ResizeObserver(fit);
      watch.observe(box.current);
      fit();
      now.setClamps(clampSolids(chosen.shelf.clamps, top));
      view.value = now;
      stop = connect(now, chosen, plan, () => overlay.current, orbit, shownPath);
    });
    return () => {
      over = true;
      stop();
      watch?.disconnect();
      view.value = null;
      made?.dispose();
    };
  }, [chosen, plan]);

  useEffect(() => (canvas.current ? hold(canvas.current, orbit, { whole, above }) : undefined), [chosen]);

  return (
    <div class="solid" ref={box}>
      <canvas
        ref={canvas}
        tabIndex={0}
        role="application"
        aria-label={`${chosen.name}, seen in three dimensions. Arrow keys turn the view, with Shift they move it; plus and minus near it, 0 shows the whole, 9 looks from above.`}
      />
      <div class="overlay" ref={overlay}>
        {labels.map((label) => (
          <span key={label.text} class="part" data-at={label.at.join(" ")}>
            {label.text}
          </span>
        ))}
        {findingsHere.value.map((finding, i) => (
          <button
            key={i}
            type="button"
            class={finding === chosenFinding.value ? "spot chosen" : "spot"}
            data-at={`${finding.at[0]} ${finding.at[1]} ${finding.at[2] + lift.value}`}
            aria-label={`Finding: ${finding.text}`}
            onClick={() => goTo(finding)}
          >
            !
          </button>
        ))}
      </div>
      <div class="views" role="group" aria-label="View">
        <button type="button" onClick={whole}>
          Whole
        </button>
        <button type="button" onClick={above}>
          From above
        </button>
        <select
          aria-label="Path of the cutter"
          value={shownPath.value}
          onChange={(event) => (shownPath.value = event.currentTarget.value as Shown)}
        >
          <option value="minute">path: last minute</option>
          <option value="all">path: all until now</option>
          <option value="none">no path</option>
        </select>
      </div>
    </div>
  );
}

type Held<T> = { value: T };
/** How much of the path is drawn. */
type Shown = "minute" | "all" | "none";

/** Keeps the view in step with what it shows; each change asks for one frame. */
function connect(view: View, chosen: Setup, plan: Plan, overlay: () => HTMLElement | null, orbit: Held<Orbit>, shownPath: Held<Shown>): () => void {
  let frame = 0;
  const draw = () => {
    if (frame) return;
    frame = requestAnimationFrame(() => {
      frame = 0;
      view.draw();
      placeLabels(view, overlay());
    });
  };
  let cuts: PathPieces = { positions: new Float32Array(), ends: new Float32Array() };
  let rapids = cuts;
  let cutter = "";
  const stops = [
    effect(() => {
      void theme.value;
      view.setInks(inksNow());
      draw();
    }),
    effect(() => {
      const shown = surface.value;
      if (shown?.setup === chosen.name) view.setSurface(shown.field, chosen.stock.thickness);
      draw();
    }),
    effect(() => {
      const path = replay.value?.path;
      if (!path) return;
      cuts = piecesOf(path, false);
      rapids = piecesOf(path, true);
      view.setPath(cuts, rapids);
    }),
    effect(() => {
      void replay.value;
      const from = { none: Infinity, minute: time.value - 60, all: -1 }[shownPath.value];
      view.showPath(piecesBetween(cuts, from, time.value), piecesBetween(rapids, from, time.value));
      const name = chosen.programs[tip.value?.program ?? 0]?.cutter ?? "";
      const its = plan.cutters.find((c) => c.name === name);
      if (name !== cutter) view.setCutter(its && cutterSolid(its));
      cutter = name;
      view.setTip(tip.value?.at);
      draw();
    }),
    effect(() => {
      view.look(orbit.value);
      draw();
    }),
    effect(() => {
      void findingsHere.value;
      void chosenFinding.value;
      draw();
    }),
  ];
  return () => {
    for (const stop of stops) stop();
    cancelAnimationFrame(frame);
  };
}

function placeLabels(view: View, overlay: HTMLElement | null): void {
  for (const child of overlay?.children ?? []) {
    const element = child as HTMLElement;
    const [x = 0, y = 0, z = 0] = (element.dataset["at"] ?? "").split(" ").map(Number);
    const at = view.project(x, y, z);
    element.style.visibility = at ? "visible" : "hidden";
    if (at) element.style.transform = `translate(-50%, -50%) translate(${at[0].toFixed(1)}px, ${at[1].toFixed(1)}px)`;
  }
}
