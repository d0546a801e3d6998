// A sheet to scale: hatch of its material, clamps, and where it was measured a surface of its thickness.
import { css, depthColour } from "../../math/ramp";
import type { Sheet } from "../../model/api";
import type { Look } from "../../model/look";
import { surfaceCells } from "../../model/shelf";
import { MaterialHatch } from "../../parts/MaterialHatch";
import { pathOf } from "../../parts/SetPicture";

interface Props {
  sheet: Sheet;
  look: Look | undefined;
  /** Pixels per mm. */
  scale: number;
  surface?: boolean;
  onPoint?: (x: number, y: number) => void;
}

export function thicknessRange(sheet: Sheet): [number, number] {
  const all = sheet.measured.map(([, , t]) => t);
  return [Math.min(...all), Math.max(...all)];
}

export function SheetPicture({ sheet, look, scale, surface = false, onPoint }: Props) {
  const [w, h] = sheet.size;
  const id = `sheet-${surface ? "big-" : ""}${sheet.name.replace(/[^a-z0-9-]/gi, "-")}`;
  const outline = pathOf(sheet.outline, h);
  const cells = surface ? surfaceCells(sheet, 28) : [];
  const [least, most] = thicknessRange(sheet);
  const share = (t: number) => (most > least ? (t - least) / (most - least) : 0.5);
  const click = (event: MouseEvent) => {
    const box = (event.currentTarget as SVGSVGElement).getBoundingClientRect();
    onPoint?.(((event.clientX - box.left) / box.width) * w, h - ((event.clientY - box.top) / box.height) * h);
  };
  return (
    <svg class={`sheet-picture${onPoint ? " points" : ""}`} viewBox={`0 0 ${w} ${h}`} width={w * scale} height={h * scale} aria-hidden="true" onClick={onPoint ? click : undefined}>
      <defs>
        {look && <MaterialHatch id={id} look={look} scale={scale} />}
        <clipPath id={`${id}-clip`}>
          <path d={outline} />
        </clipPath>
      </defs>
      <path class="ground" d={outline} style={{ "--hue": `${look?.hue ?? 0}` }} />
      {cells.length > 0 ? (
        <g clip-path={`url(#${id}-clip)`}>
          {cells.map((cell) => (
            <rect key={`${cell.x} ${cell.y}`} x={cell.x} y={h - cell.y - cell.size} width={cell.size * 1.02} height={cell.size * 1.02} fill={css(depthColour(0.85 * share(cell.t)))} />
          ))}
        </g>
      ) : (
        look && <path class="marks" d={outline} fill={`url(#${id})`} />
      )}
      <path class="border" d={outline} />
      {sheet.clamps.map((clamp, i) => (
        <rect key={i} class="clamp" x={clamp.at[0]} y={h - clamp.at[1] - clamp.size[1]} width={clamp.size[0]} height={clamp.size[1]} />
      ))}
      {sheet.measured.map(([x, y, t], i) => (
        <g key={i} class="measure" transform={`translate(${x} ${h - y}) scale(${1 / scale})`}>
          <circle r={surface ? 4 : 2.5} />
          {surface && (
            <text x={x > w / 2 ? -7 : 7} y={y > h / 2 ? 14 : -6} text-anchor={x > w / 2 ? "end" : "start"}>
              {t.toFixed(2)}
            </text>
          )}
        </g>
      ))}
    </svg>
  );
}
