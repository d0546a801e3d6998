// A part on its sheet: dragged, moved by keys, turned, locked.
import { useMemo } from "preact/hooks";
import type { Lying, PartShape } from "../../model/boards";
import { pivotOnSheet } from "../../model/boards";
import { placed } from "../../math/placement";
import { letGo, lyingOf, nudge, show, toggleLock, turnOn } from "./changes";
import { boardAt, follow, keepStill } from "./drag";
import { chosen, movingPart } from "./table";

export function pathOf(rings: PartShape["rings"]): string {
  return rings.map((ring) => "M" + ring.map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`).join("L") + "Z").join("");
}

interface PartViewProps {
  part: PartShape;
  lying: Lying;
  hatch: string;
  clashes: boolean;
  grain: boolean;
  /** Pixels per mm. */
  scale: number;
}

const arrows: Record<string, readonly [number, number]> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

function onKeyDown(event: KeyboardEvent, id: string): void {
  const one = lyingOf(id);
  if (!one || event.ctrlKey || event.metaKey) return;
  const arrow = arrows[event.key];
  const step = event.shiftKey ? 0.1 : event.altKey ? 10 : 1;
  if (arrow) nudge(id, { ...one.placement, x: one.placement.x + step * arrow[0], y: one.placement.y + step * arrow[1] }, "Move");
  else if (event.key === "r") turnOn(id, 15);
  else if (event.key === "R") turnOn(id, -1);
  else if (event.key === "l" || event.key === "L") void toggleLock(id);
  else if (event.key === "Enter" || event.key === " ") chosen.value = { kind: "part", id };
  else return;
  event.preventDefault();
}

function onPointerDown(event: PointerEvent, one: Lying): void {
  chosen.value = { kind: "part", id: one.piece };
  const start = boardAt(event.clientX, event.clientY);
  if (!start) return;
  const grip = [start.at[0] - one.placement.x, start.at[1] - one.placement.y] as const;
  follow(event, {
    onMove(move) {
      const there = boardAt(move.clientX, move.clientY);
      if (!there) return;
      show(one, { ...one.placement, x: there.at[0] - grip[0], y: there.at[1] - grip[1] }, there.sheet);
    },
    onEnd: (moved) => void (moved && letGo("Move")),
    onCancel: () => (movingPart.value = null),
  });
}

export function PartView({ part, lying, hatch, clashes, grain, scale }: PartViewProps) {
  const d = useMemo(() => pathOf(part.rings), [part]);
  const { x, y, angle } = lying.placement;
  const isChosen = chosen.value?.kind === "part" && chosen.value.id === part.id;
  const [lx, ly] = placed(part.label, lying.placement);
  const [px, py] = pivotOnSheet(part, lying.placement);
  const said = `${part.id} held ×${part.margin.toFixed(1)}, ${part.material}, on ${lying.sheet} at X ${px.toFixed(1)} Y ${py.toFixed(1)}, turned ${angle.toFixed(1)} degrees${lying.locked ? ", locked" : ""}${clashes ? ", clashes" : ""}`;
  const classes = ["part", isChosen ? "chosen" : "", clashes ? "clash" : "", lying.locked ? "locked" : ""].join(" ");
  return (
    <g
      class={classes}
      data-part={part.id}
      tabIndex={0}
      role="button"
      aria-pressed={isChosen}
      aria-label={said}
      aria-describedby="sheets-keys"
      onKeyDown={(event) => onKeyDown(event, part.id)}
      onFocus={() => (chosen.value = { kind: "part", id: part.id })}
      onTouchStart={keepStill}
      onPointerDown={(event) => onPointerDown(event, lying)}
    >
      <g transform={`translate(${x} ${y}) rotate(${angle})`}>
        <path class="tint" d={d} />
        <path class="body" d={d} fill={`url(#${hatch})`} />
        {grain && <path class="grain" d={`M${part.label[0] - 16 / scale} ${part.label[1] - 14 / scale} h${32 / scale}`} />}
      </g>
      <g transform={`translate(${lx} ${ly}) scale(${1 / scale} ${-1 / scale})`}>
        <text class="name" text-anchor="middle" dy="0.32em">
          <tspan>
            {clashes ? "! " : ""}
            {part.id}
          </tspan>{" "}
          {part.labelRoom * scale > 24 && (
            <tspan class={part.margin < 1 ? "held weak" : "held"} x={0} dy="1.35em">
              {part.margin < 1 ? "! " : ""}
              held ×{part.margin.toFixed(1)}
            </tspan>
          )}
        </text>
        {lying.locked && (
          <g class="pin" transform="translate(0 -14)">
            <path d="M-3 -5 v-3 a3 3 0 0 1 6 0 v3" />
            <rect x="-5" y="-5.5" width="10" height="8" rx="1" />
          </g>
        )}
      </g>
    </g>
  );
}
