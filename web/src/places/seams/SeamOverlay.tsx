// Seams over the set: colour and weight by the worst gap error, junction spots as rings.
import { gapSign } from "../../math/gapColour";
import type { Point } from "../../model/api";
import type { SeamLine } from "../../model/seamLines";
import type { Camera } from "../../parts/useView";

interface Props {
  seams: SeamLine[];
  height: number;
  camera: Camera;
  full: number;
  chosen: string;
  onChoose: (id: string) => void;
}

export function openPath(line: readonly Point[], height: number): string {
  return `M${line.map(([x, y]) => `${x.toFixed(3)} ${(height - y).toFixed(3)}`).join("L")}`;
}

const paths = new WeakMap<SeamLine, string>();
function pathOf(seam: SeamLine, height: number): string {
  let path = paths.get(seam);
  if (path === undefined) paths.set(seam, (path = seam.lines.map((line) => openPath(line, height)).join("")));
  return path;
}

export function SeamOverlay({ seams, height, camera, full, chosen, onChoose }: Props) {
  const pixel = 1 / camera.scale;
  const last = seams.find((seam) => seam.id === chosen);
  const ordered = last ? [...seams.filter((seam) => seam !== last), last] : seams;
  return (
    <g class="seams-overlay" aria-hidden="true">
      {ordered.map((seam) => {
        const { colour, weight, dash } = gapSign(seam.error, full);
        const path = pathOf(seam, height);
        return (
          <g key={seam.id} class="seam" onClick={() => onChoose(seam.id)}>
            <path class="hit" d={path} />
            {seam.id === chosen && <path class="halo" d={path} />}
            <path class="line" d={path} style={{ stroke: colour, strokeWidth: `${weight}px`, strokeDasharray: dash }} />
            <title>{`${seam.id}: ${(seam.error * 1000).toFixed(1)} µm`}</title>
          </g>
        );
      })}
      {seams.flatMap((seam) => seam.spots.map((spot, i) => <circle key={`${seam.id}${i}`} class="spot-ring" cx={spot.at[0]} cy={height - spot.at[1]} r={5 * pixel} />))}
    </g>
  );
}
