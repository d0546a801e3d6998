// The chosen seam close by: both as-cut edges, the drawn border, a scale bar; a slider walks along it.
import { useMemo, useState } from "preact/hooks";
import { gapAt, gapProfile, measured, pointAlong, type Side } from "../../math/gap";
import type { Plan, Point } from "../../model/api";
import type { SeamLine } from "../../model/seamLines";
import { pathOf } from "../../parts/SetPicture";
import { openPath } from "./SeamOverlay";
import { along } from "./walk";

const SAMPLES = 90;

function sideOf(plan: Plan, id: string): Side {
  if (id === "tray") return { rings: plan.tray?.wall_as_cut ?? [], hollow: true };
  return { rings: plan.pieces.find((piece) => piece.id === id)?.as_cut ?? [], hollow: false };
}

/** The longest stretch of the seam; a seam of several is walked along this one. */
function longest(lines: Point[][]): Point[] {
  return lines.reduce<Point[]>((best, line) => (measured(line).length > measured(best).length ? line : best), []);
}

export function Magnified({ line, plan, full }: { line: SeamLine; plan: Plan; full: number }) {
  const { seam } = line;
  const [span, setSpan] = useState(6);
  const path = useMemo(() => longest(line.lines), [line]);
  const a = useMemo(() => sideOf(plan, seam.a), [plan, seam.a]);
  const b = useMemo(() => sideOf(plan, seam.b), [plan, seam.b]);
  const hasTwo = a.rings.length > 0 && b.rings.length > 0 && path.length > 1;
  const profile = useMemo(() => (hasTwo ? gapProfile(a, b, path, SAMPLES) : []), [a, b, path, hasTwo]);
  if (!hasTwo)
    return (
      <div class="magnified">
        <h2>{line.id}</h2>
        <p class="quiet">This seam has no border in the drawing to walk along.</p>
      </div>
    );
  const length = measured(path);
  const here = pointAlong(path, length, along.value * length.length).at;
  const gap = gapAt(a, b, here);
  return (
    <div class="magnified">
      <div>
        <h2>
          {line.id} <span class="quiet">{seam.length.toFixed(1)} mm</span>
        </h2>
        <dl>
          <dt>Here</dt>
          <dd>{gap.toFixed(3)} mm</dd>
          <dt>Asked</dt>
          <dd>{seam.asked.toFixed(3)}</dd>
          <dt>Least, mean, most</dt>
          <dd>
            {seam.gap_min.toFixed(3)}, {seam.gap_mean.toFixed(3)}, {seam.gap_max.toFixed(3)}
          </dd>
          <dt>Border moved at most</dt>
          <dd>{seam.moved_max.toFixed(3)}</dd>
        </dl>
        {seam.spots.map((spot, i) => (
          <p key={i} class="quiet small">
            {spot.why} at {spot.low[0].toFixed(1)}, {spot.low[1].toFixed(1)}
          </p>
        ))}
        <Profile profile={profile} asked={seam.asked} full={full} />
        <input
          type="range"
          min={0}
          max={1}
          step={0.002}
          value={along.value}
          aria-label="Walk along the seam"
          aria-valuetext={`${(along.value * length.length).toFixed(1)} of ${length.length.toFixed(1)} mm, gap ${gap.toFixed(3)} mm`}
          onInput={(event) => (along.value = Number(event.currentTarget.value))}
        />
        <div class="row spans" role="group" aria-label="Width of the view">
          {[2, 6, 20].map((mm) => (
            <button key={mm} type="button" aria-pressed={span === mm} onClick={() => setSpan(mm)}>
              {mm} mm
            </button>
          ))}
        </div>
      </div>
      <Close a={a} b={b} names={[seam.a, seam.b]} path={path} at={here} span={span} gap={gap} />
    </div>
  );
}

interface CloseProps {
  a: Side;
  b: Side;
  names: [string, string];
  path: Point[];
  at: Point;
  span: number;
  gap: number;
}

function Close({ a, b, names, path, at, span, gap }: CloseProps) {
  const shapes = useMemo(() => [a, b].map((side) => (side.hollow ? hollowPath(side) : pathOf(side.rings, 0))), [a, b]);
  const border = useMemo(() => openPath(path, 0), [path]);
  const bar = span / 6 >= 1 ? Math.round(span / 6) : span / 4 >= 0.5 ? 0.5 : 0.2;
  const half = span / 2;
  const [x, y] = [at[0], -at[1]];
  return (
    <svg class="close" viewBox={`${x - half} ${y - half} ${span} ${span}`} role="img" aria-label={`${names[0]} and ${names[1]} magnified: gap ${gap.toFixed(3)} mm at the cross`}>
      <path class="side a" d={shapes[0]} />
      <path class="side b" d={shapes[1]} />
      <path class="drawn" d={border} />
      <path class="cross" d={`M${x - span / 30} ${y}h${span / 15}M${x} ${y - span / 30}v${span / 15}`} />
      <g class="bar" transform={`translate(${x - half + span * 0.05} ${y + half - span * 0.06})`}>
        <path d={`M0 0h${bar}`} />
        <text y={-span * 0.02} style={{ fontSize: `${span * 0.05}px` }}>
          {bar} mm
        </text>
      </g>
    </svg>
  );
}

/** All around the wall, as far as the view may reach. */
function hollowPath(side: Side): string {
  return `M-9999 -9999H9999V9999H-9999Z${pathOf(side.rings, 0)}`;
}

function Profile({ profile, asked, full }: { profile: number[]; asked: number; full: number }) {
  const [w, h] = [260, 44];
  // Junction ends open far wider than the scale: they are cut off at its border.
  const reach = 2 * full;
  const at = (gap: number) => h / 2 - (Math.max(-reach, Math.min(reach, gap - asked)) / reach) * (h / 2 - 2);
  const d = profile.map((gap, i) => `${i === 0 ? "M" : "L"}${((i / (profile.length - 1)) * w).toFixed(1)} ${at(gap).toFixed(1)}`).join("");
  return (
    <svg class="profile" viewBox={`0 0 ${w} ${h}`} preserveAspectRatio="none" aria-hidden="true">
      <path class="asked-line" d={`M0 ${h / 2}H${w}`} />
      <path class="gap-line" d={d} />
      <path class="now-line" d={`M${along.value * w} 0V${h}`} />
    </svg>
  );
}
