// One sheet to scale, with what lies on it.
import { useMemo } from "preact/hooks";
import { plan } from "../../api/store";
import type { Sheet } from "../../model/api";
import { freeArea, type PartShape } from "../../model/boards";
import type { Slot } from "../../model/bench";
import { labelPoint } from "../../math/polygon";
import { lightOutline } from "../../math/apart";
import { ClampView } from "./ClampView";
import { MaterialHatch } from "../../parts/MaterialHatch";
import { PartView, pathOf } from "./PartView";
import { clashing, closeUp, hasGrain, looks, lying, movingPart, shapes } from "./table";

interface BoardProps {
  sheet: Sheet;
  /** Unique among the boards on the page. */
  number: number;
  slot: Slot;
  scale: number;
  header: number;
}

export function Board({ sheet, number, slot, scale, header }: BoardProps) {
  const here = lying.value.filter((l) => l.sheet === sheet.name);
  const parts = here.flatMap((l) => shapes.value.get(l.piece) ?? []);
  const look = looks.value.get(sheet.material) ?? { form: "lines" as const, angle: 20, spacing: 8, hue: 150 };
  const hatch = `hatch-${number}`;
  const [w, h] = sheet.size;
  const busy = here.some((l) => l.piece === movingPart.value?.piece);
  return (
    <figure class={busy ? "board busy" : "board"} style={{ left: `${slot.left}px`, top: `${slot.top}px`, width: `${slot.width}px`, "--hue": look.hue }}>
      <Header sheet={sheet} parts={parts} height={header} roomy={slot.width > 230} />
      <svg data-sheet={sheet.name} data-scale={scale} width={w * scale} height={h * scale} viewBox={`0 0 ${w} ${h}`} role="group" aria-label={`Sheet ${sheet.name}`}>
        <defs>
          <MaterialHatch id={hatch} look={look} scale={scale} />
        </defs>
        <g transform={`matrix(1 0 0 -1 0 ${h})`}>
          <path class="sheet" d={pathOf(sheet.outline)} fill-rule="evenodd" />
          <Tray sheet={sheet} scale={scale} hatch={hatch} />
          {hasGrain(sheet.material) && <Grain sheet={sheet} scale={scale} />}
          {inDrawingOrder(here).map((l) => {
            const part = shapes.value.get(l.piece);
            if (!part) return null;
            return <PartView key={l.piece} part={part} lying={l} hatch={hatch} scale={scale} grain={hasGrain(part.material)} clashes={clashing.value.has(l.piece)} />;
          })}
          {sheet.clamps.map((clamp, i) => (
            <ClampView key={i} sheet={sheet.name} index={i} clamp={clamp} scale={scale} clashes={here.some((l) => clashing.value.has(l.piece)) && clashing.value.has(`clamp ${i + 1}`)} />
          ))}
        </g>
      </svg>
    </figure>
  );
}

/** What moves is drawn last, over the others. */
function inDrawingOrder<T extends { piece: string }>(list: T[]): T[] {
  const moving = movingPart.value?.piece;
  return [...list.filter((l) => l.piece !== moving), ...list.filter((l) => l.piece === moving)];
}

function Header({ sheet, parts, height, roomy }: { sheet: Sheet; parts: PartShape[]; height: number; roomy: boolean }) {
  const free = freeArea(sheet, parts);
  const whole = Math.max(1, freeArea(sheet, []));
  const isTray = plan.value?.tray?.sheet === sheet.name;
  const close = closeUp.value === sheet.name;
  return (
    <figcaption style={{ height: `${height}px` }}>
      <span class="title">
        <b>{sheet.name}</b>
        <button
          type="button"
          class="closer"
          aria-pressed={close}
          aria-label={close ? "All sheets" : `Look closer at ${sheet.name}`}
          title={close ? "All sheets" : "Look closer"}
          onClick={() => (closeUp.value = close ? "" : sheet.name)}
        >
          {close ? "− all" : "+"}
        </button>
      </span>
      <span class="quiet">
        {sheet.material} {sheet.thickness} mm
        {isTray ? ", takes the tray" : parts.length === 0 ? ", unused" : `, ${Math.round((100 * free) / whole)} % free${roomy ? ` (${Math.round(free / 100)} cm²)` : ""}`}
      </span>
    </figcaption>
  );
}

function Grain({ sheet, scale }: { sheet: Sheet; scale: number }) {
  const length = 40 / scale;
  const tip = 6 / scale;
  return (
    <g class="grain-arrow" transform={`translate(${sheet.size[0] - 34 / scale} ${12 / scale}) rotate(${sheet.grain})`}>
      <path d={`M${-length / 2} 0 H${length / 2} m${-tip} ${tip / 2} l${tip} ${-tip / 2} l${-tip} ${-tip / 2} M${-length / 2 + tip} ${tip / 2} l${-tip} ${-tip / 2} l${tip} ${-tip / 2}`} />
      <title>grain</title>
    </g>
  );
}

/** The recess is cut where the plan puts it; it is not moved here. */
function Tray({ sheet, scale, hatch }: { sheet: Sheet; scale: number; hatch: string }) {
  const tray = plan.value?.tray;
  const drawn = useMemo(() => {
    if (!tray || tray.sheet !== sheet.name) return undefined;
    const rings = lightOutline(tray.wall, 0.1);
    return { d: pathOf(rings), label: labelPoint(rings, 2).at };
  }, [tray, sheet.name]);
  if (!tray || !drawn) return null;
  const { x, y, angle_deg } = tray.placement;
  return (
    <g class="tray" transform={`translate(${x} ${y}) rotate(${angle_deg})`}>
      <path class="tint" d={drawn.d} />
      <path d={drawn.d} fill={`url(#${hatch})`} />
      <g transform={`translate(${drawn.label[0]} ${drawn.label[1]}) scale(${1 / scale} ${-1 / scale})`}>
        <text class="name" text-anchor="middle">
          tray
        </text>
      </g>
    </g>
  );
}
