// Where the cut is seen: in three dimensions, or flat from above where that is all the browser can.
import { useEffect, useState } from "preact/hooks";
import type { Plan } from "../../model/api";
import { css, depthColour } from "../../math/ramp";
import { Flat } from "./Flat";
import { Solid } from "./Solid";
import { replay, replayFault, setup } from "./moment";
import { followSurface } from "./surface";

function hasWebGl2(): boolean {
  try {
    return document.createElement("canvas").getContext("webgl2") !== null;
  } catch {
    return false;
  }
}

export function Stage({ plan }: { plan: Plan }) {
  const [solid, setSolid] = useState(hasWebGl2);
  useEffect(followSurface, []);
  const chosen = setup.value;
  if (!chosen) return <section class="stage" />;
  return (
    <section class="stage" aria-label="The sheet being cut">
      {solid ? <Solid plan={plan} chosen={chosen} onFail={() => setSolid(false)} /> : <Flat chosen={chosen} />}
      {replay.value === null && <p class="waiting">{replayFault.value || "Reading the programs …"}</p>}
      <Legend thickness={chosen.stock.thickness} />
    </section>
  );
}

function Legend({ thickness }: { thickness: number }) {
  const stops = [0, 0.25, 0.5, 0.75, 1];
  return (
    <figure class="legend">
      <figcaption>depth of cut, mm</figcaption>
      <svg width="212" height="34" aria-hidden="true">
        {Array.from({ length: 40 }, (_, i) => (
          <rect key={i} x={4 + i * 4} y={2} width={4.5} height={12} fill={css(depthColour(i / 39))} />
        ))}
        <rect class="through" x={176} y={2.5} width={30} height={11} />
        <path class="through" d="M176 13.5 l11 -11 M186 13.5 l11 -11 M196 13.5 l10 -10" />
        {stops.map((s) => (
          <text key={s} x={4 + 160 * s} y={29} text-anchor={s === 0 ? "start" : "middle"}>
            {(s * thickness).toFixed(s === 0 ? 0 : 1)}
          </text>
        ))}
        <text x={206} y={29} text-anchor="end">
          bed
        </text>
      </svg>
    </figure>
  );
}
