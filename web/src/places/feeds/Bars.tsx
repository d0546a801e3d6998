// Limits on one scale: each bar ends where the setting stands, the line is where the limit is.
import type { Feed } from "../../model/api";
import { barsOf, figure, used, type Bar } from "../../model/feedRows";

/** The whole width is this many times the bound. */
const scale = 1.3;
const share = (v: number) => `${(Math.min(v, scale) / scale) * 100}%`;

interface BarsProps {
  judged: Feed;
  planned: Feed;
  changed: boolean;
}

export function Bars({ judged, planned, changed }: BarsProps) {
  const names = new Set(judged.limits.map((l) => l.name));
  const unjudged = planned.limits.filter((l) => !names.has(l.name));
  return (
    <div class="bars">
      <p class="scale" aria-hidden="true">
        <span class="zero">nothing used</span>
        <span class="bound" style={{ left: share(1) }}>
          limit
        </span>
      </p>
      <ul aria-label="Limits, the tightest first">
        {barsOf(judged).map((bar) => (
          <Row key={bar.limit.name} bar={bar} before={changed ? planned.limits.find((l) => l.name === bar.limit.name) : undefined} />
        ))}
      </ul>
      {changed && (
        <p class="quiet">
          <span class="double" aria-hidden="true" /> where the plan's setting stands. The plan keeps to the cautious side of every range; a
          setting of your own is judged by the best estimate of forces and the widest windows known to have worked.
        </p>
      )}
      {changed && unjudged.length > 0 && (
        <p class="quiet">
          Judged for the plan's own setting only: {unjudged.map((l) => l.name).join(", ")}. Plan the job to have it judged again.
        </p>
      )}
    </div>
  );
}

function reserveInWords(bar: Bar): string {
  const { holds, reserve } = bar.limit;
  const percent = Math.round(Math.abs(reserve) * 100);
  if (!holds) return `! breaks by ${percent}\u00a0%`;
  if (bar.binding) return "▸ binds";
  return percent > 999 ? "plenty left" : `${percent}\u00a0% left`;
}

function Row({ bar, before }: { bar: Bar; before: Feed["limits"][number] | undefined }) {
  const { limit } = bar;
  const form = !limit.holds ? "broken" : bar.binding ? "binding" : "free";
  return (
    <li class={form} title={`would give way to ${limit.loosen}`}>
      <span class="name">{limit.name}</span>
      <span class="bar" aria-hidden="true">
        <span class="fill" style={{ width: share(bar.used) }} />
        {before && <span class="before" style={{ left: share(used(before)) }} />}
        <span class="bound" style={{ left: share(1) }} />
      </span>
      <span class="figures">
        {figure(limit.value)} <span class="quiet">{limit.at_least ? "≥" : "≤"}</span> {figure(limit.bound)} <small>{limit.unit}</small>
      </span>
      <span class="left">{reserveInWords(bar)}</span>
    </li>
  );
}
