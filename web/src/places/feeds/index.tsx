// Feeds: every setting of the plan with its limits; change a value and see which of them break.
import { signal } from "@preact/signals";
import { job } from "../../api/store";
import type { Plan } from "../../model/api";
import { figure, groupsOf, key } from "../../model/feedRows";
import { PlanGate } from "../plan/PlanGate";
import { Detail } from "./Detail";
import "./feeds.css";

/** The feed that is looked at; kept between visits. */
const chosen = signal("");

export default function Feeds() {
  return <PlanGate what="the feed, speed and depth of every cut, and what holds each back">{(plan) => <Work plan={plan} />}</PlanGate>;
}

function Work({ plan }: { plan: Plan }) {
  const at = Math.max(0, plan.feeds.findIndex((feed, i) => key(feed, i) === chosen.value));
  const feed = plan.feeds[at];
  if (!feed) return <p class="quiet feeds-none">The plan has no feeds.</p>;
  return (
    <div class="feeds">
      <Card plan={plan} at={at} />
      <Detail key={`${job.value?.path}/${key(feed, at)}`} feed={feed} cutter={plan.cutters.find((c) => c.name === feed.cutter)} />
    </div>
  );
}

function Card({ plan, at }: { plan: Plan; at: number }) {
  return (
    <section class="card" aria-label="All settings">
      <table>
        <thead>
          <tr>
            <th scope="col">cut</th>
            <th scope="col" class="figure">
              n <small>rev/min</small>
            </th>
            <th scope="col" class="figure">
              vf <small>mm/min</small>
            </th>
            <th scope="col" class="figure">
              ap <small>mm</small>
            </th>
            <th scope="col">held back by</th>
          </tr>
        </thead>
        {groupsOf(plan.feeds).map((group) => (
          <tbody key={group.material}>
            <tr class="material">
              <th scope="rowgroup" colSpan={5}>
                {group.material}
              </th>
            </tr>
            {group.feeds.map(({ feed, index }) => (
              <tr key={index} class={index === at ? "chosen" : ""} onClick={() => (chosen.value = key(feed, index))}>
                <th scope="row">
                  <button type="button" aria-pressed={index === at} onClick={() => (chosen.value = key(feed, index))}>
                    {feed.step} <span class="quiet">{feed.cutter}</span>
                  </button>
                </th>
                <td class="figure">{figure(feed.n)}</td>
                <td class="figure">{figure(feed.vf)}</td>
                <td class="figure">
                  {figure(feed.ap)}
                  {feed.passes > 1 && <span class="quiet"> ×{feed.passes}</span>}
                </td>
                <td>{feed.binding || <b class="rust">! breaks a limit</b>}</td>
              </tr>
            ))}
          </tbody>
        ))}
      </table>
    </section>
  );
}
