// Force and power along time, in step with the time line, with what was planned at most.
import { effect } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import type { Plan } from "../../model/api";
import { loadAt, loadCurve, plannedMost } from "../../model/replay";
import { theme } from "../../shell/theme";
import { inset } from "./TimeLine";
import { playing, replay, setup, time } from "./moment";

const height = 78;
const overload = 1.15; // above this share of the plan's largest the proof finds an overload

interface Curve {
  label: string;
  unit: string;
  t: number[];
  values: (number | null)[];
  planned: number;
}

export function Loads({ plan }: { plan: Plan }) {
  const curve = useMemo(() => (replay.value ? loadCurve(replay.value) : null), [replay.value]);
  const chosen = setup.value;
  if (!curve || !chosen) return <div class="loads" />;
  if (curve.t.length === 0) return <p class="loads quiet">No loads: the material of this setup is not known to the proof.</p>;
  const most = plannedMost(plan.feeds, chosen.shelf.material, chosen.programs.map((p) => p.cutter));
  const now = replay.value ? loadAt(replay.value.loads, time.value) : undefined;
  return (
    <div class="loads">
      <Chart label="force" unit="N" t={curve.t} values={curve.force} planned={most.force} />
      <Chart label="power" unit="W" t={curve.t} values={curve.power} planned={most.power} />
      <p class="visually-hidden" aria-live="off">
        At this moment force {now?.force.toFixed(1)} newton, power {now?.power.toFixed(0)} watt; planned at most{" "}
        {most.force.toFixed(1)} newton and {most.power.toFixed(0)} watt.
      </p>
    </div>
  );
}

function colour(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

function options(curve: Curve, width: number, inks: { ink: string; soft: string; rule: string; accent: string; rust: string }): uPlot.Options {
  const { ink, soft, rule, accent, rust } = inks;
  const bound = curve.planned * overload;
  const high = Math.max(bound * 1.12, ...curve.values.map((v) => v ?? 0), 1e-9);
  return {
    width,
    height,
    legend: { show: false },
    padding: [6, inset.right, 7, 0],
    cursor: { y: false, x: true, points: { show: false }, drag: { x: false, y: false }, sync: { key: "loads" } },
    scales: { x: { time: false, range: () => [0, replay.value?.time ?? 1] }, y: { range: () => [0, high] } },
    axes: [
      { show: false },
      {
        size: inset.left,
        stroke: soft,
        font: "12px system-ui, sans-serif",
        grid: { stroke: rule, width: 1 },
        ticks: { show: false },
        splits: () => [0, high / 2, high].map((v) => Number(v.toPrecision(2))),
        values: (_, splits) => splits.map((v, i) => (i === splits.length - 1 ? `${v} ${curve.unit}` : String(v))),
      },
    ],
    series: [{}, { stroke: accent, width: 1.25, fill: `${accent}22`, spanGaps: false, points: { show: false } }],
    hooks: {
      draw: [
        (u) => {
          const { ctx, bbox } = u;
          const y = u.valToPos(bound, "y", true);
          const x = u.valToPos(time.value, "x", true);
          const pixel = devicePixelRatio;
          ctx.save();
          ctx.lineWidth = 1.5 * pixel;
          if (curve.planned > 0) {
            ctx.strokeStyle = rust;
            ctx.setLineDash([6 * pixel, 4 * pixel]);
            ctx.beginPath();
            ctx.moveTo(bbox.left, y);
            ctx.lineTo(bbox.left + bbox.width, y);
            ctx.stroke();
          }
          ctx.setLineDash([]);
          ctx.strokeStyle = ink;
          ctx.beginPath();
          ctx.moveTo(x, bbox.top);
          ctx.lineTo(x, bbox.top + bbox.height);
          ctx.stroke();
          ctx.restore();
        },
      ],
    },
  };
}

function Chart(curve: Curve) {
  const box = useRef<HTMLDivElement>(null);
  const drawn = theme.value; // a new theme draws anew
  useEffect(() => {
    const element = box.current;
    if (!element) return;
    const inks = { ink: colour("--ink"), soft: colour("--soft"), rule: colour("--rule"), accent: colour("--accent"), rust: colour("--rust") };
    const plot = new uPlot(options(curve, Math.max(100, element.clientWidth), inks), [curve.t, curve.values], element);
    const watch = new ResizeObserver(() => plot.setSize({ width: Math.max(100, element.clientWidth), height }));
    watch.observe(element);
    const onClick = () => {
      const at = plot.cursor.left;
      if (at === undefined || at < 0) return;
      playing.value = false;
      time.value = Math.max(0, plot.posToVal(at, "x"));
    };
    plot.over.addEventListener("click", onClick);
    const stop = effect(() => {
      void time.value;
      plot.redraw(false, false);
    });
    return () => {
      stop();
      watch.disconnect();
      plot.destroy();
    };
  }, [curve.t, curve.values, curve.planned, drawn]);
  const now = replay.value ? loadAt(replay.value.loads, time.value) : undefined;
  const value = now ? (curve.label === "force" ? now.force : now.power) : 0;
  return (
    <figure class="chart">
      <figcaption>
        <b>{curve.label}</b> {value.toFixed(value < 100 ? 1 : 0)} {curve.unit}
        {curve.planned > 0 && (
          <span class="quiet">
            {" "}
            <span class="dash" aria-hidden="true" /> found above {(curve.planned * overload).toFixed(0)} {curve.unit}: 15 % over
            the plan
          </span>
        )}
      </figcaption>
      <div ref={box} aria-hidden="true" />
    </figure>
  );
}
