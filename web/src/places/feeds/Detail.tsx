// One setting: its four values to turn, what comes of them, and every limit as a bar.
import { useEffect, useMemo, useState } from "preact/hooks";
import { get, query } from "../../api/client";
import type { Feed, PlanCutter } from "../../model/api";
import { barsOf, figure, nextAfter, question, rangesOf, type Range, type Setting } from "../../model/feedRows";
import { Bars } from "./Bars";

const settle = 90; // ms of quiet before the engine is asked

const names: Record<keyof Setting, { symbol: string; name: string; unit: string }> = {
  n: { symbol: "n", name: "speed", unit: "rev/min" },
  vf: { symbol: "vf", name: "feed", unit: "mm/min" },
  ap: { symbol: "ap", name: "depth of a pass", unit: "mm" },
  ae: { symbol: "ae", name: "width of cut", unit: "mm" },
};

/** The engine's judgement of a changed setting; the plan's own while nothing is changed. */
function useJudged(feed: Feed, setting: Setting, changed: boolean): { judged: Feed; fault: string; asking: boolean } {
  const [answer, setAnswer] = useState<Feed>(feed);
  const [fault, setFault] = useState("");
  const [asking, setAsking] = useState(false);
  useEffect(() => {
    setFault("");
    if (!changed) {
      setAnswer(feed);
      setAsking(false);
      return;
    }
    const over = new AbortController();
    setAsking(true);
    const timer = setTimeout(() => {
      get<Feed>(`/api/feeds${query(question(feed, setting))}`, over.signal)
        .then(setAnswer)
        .catch((error: unknown) => {
          if (!over.signal.aborted) setFault(error instanceof Error ? error.message : String(error));
        })
        .finally(() => {
          if (!over.signal.aborted) setAsking(false);
        });
    }, settle);
    return () => {
      clearTimeout(timer);
      over.abort();
    };
  }, [feed, changed, setting.n, setting.vf, setting.ap, setting.ae]);
  return { judged: answer, fault, asking };
}

interface DetailProps {
  feed: Feed;
  cutter: PlanCutter | undefined;
}

export function Detail({ feed, cutter }: DetailProps) {
  const planned: Setting = { n: feed.n, vf: feed.vf, ap: feed.ap, ae: feed.ae };
  const [setting, setSetting] = useState<Setting>(planned);
  const keys = Object.keys(names) as (keyof Setting)[];
  const changed = keys.some((k) => setting[k] !== planned[k]);
  const { judged, fault, asking } = useJudged(feed, setting, changed);
  const ranges = useMemo(() => rangesOf(feed, cutter), [feed, cutter]);
  return (
    <section class="detail" aria-label="One setting">
      <header>
        <h1>
          {feed.material}, {feed.step}
        </h1>
        <p class="quiet">
          {cutter?.title ?? feed.cutter} on {feed.machine}
        </p>
      </header>
      <div class="values">
        {keys.map((k) => (
          <Value
            key={k}
            of={k}
            value={setting[k]}
            planned={planned[k]}
            range={ranges[k]}
            onChange={(value) => setSetting({ ...setting, [k]: value })}
          />
        ))}
        <button type="button" disabled={!changed} onClick={() => setSetting(planned)}>
          As planned
        </button>
      </div>
      {fault !== "" && (
        <p class="fault" role="alert">
          {fault}
        </p>
      )}
      <Outcome judged={judged} changed={changed} asking={asking} />
      <Bars judged={judged} planned={feed} changed={changed} />
      <Says feed={judged} />
    </section>
  );
}

interface ValueProps {
  of: keyof Setting;
  value: number;
  planned: number;
  range: Range;
  onChange: (value: number) => void;
}

function Value({ of, value, planned, range, onChange }: ValueProps) {
  const { symbol, name, unit } = names[of];
  const take = (text: string) => {
    const v = Number(text);
    if (text.trim() !== "" && Number.isFinite(v) && v > 0) onChange(v);
  };
  const away = planned > 0 ? Math.round((value / planned - 1) * 100) : 0;
  return (
    <div class="value">
      <label for={`feed-${of}`}>
        <b>{symbol}</b> {name}
      </label>
      <input
        type="range"
        aria-label={`${name}, ${unit}`}
        min={range.low}
        max={Math.max(range.high, value)}
        step={range.step}
        value={value}
        onInput={(event) => take(event.currentTarget.value)}
      />
      <span class="number">
        <input
          id={`feed-${of}`}
          type="number"
          min={0}
          step="any"
          value={Math.round(value * 1000) / 1000}
          onInput={(event) => take(event.currentTarget.value)}
        />
        <span class="unit">{unit}</span>
      </span>
      <span class="away quiet">{value === planned ? "as planned" : `${away >= 0 ? "+" : "−"}${Math.abs(away)} %`}</span>
    </div>
  );
}

function Outcome({ judged, changed, asking }: { judged: Feed; changed: boolean; asking: boolean }) {
  const bars = barsOf(judged);
  const broken = bars.filter((bar) => !bar.limit.holds);
  const binding = bars.find((bar) => bar.binding)?.limit;
  const next = nextAfter(judged);
  return (
    <div class={broken.length > 0 ? "outcome finding" : "outcome"} aria-busy={asking}>
      <p role="status">
        {broken.length > 0 ? (
          <>
            <b>! Breaks {broken.map((bar) => bar.limit.name).join(", ")}.</b> {broken[0] && <>Try {broken[0].limit.loosen}.</>}
          </>
        ) : binding ? (
          <>
            <b>
              {changed ? "Holds; nearest is" : "Held back by"} {binding.name}.
            </b>{" "}
            It would give way to {binding.loosen}.{next && <span class="quiet"> Next after it: {next.name}.</span>}
          </>
        ) : (
          <>
            <b>Holds.</b> {next && <span class="quiet">Nearest: {next.name}.</span>}
          </>
        )}
      </p>
      <dl>
        <Figure name="chip" value={judged.fz} unit="mm/tooth" />
        <Figure name="force" value={judged.force} unit="N peak" />
        <Figure name="power" value={judged.power} unit="W" />
        <Figure name="tip bends" value={judged.deflection} unit="mm" />
        <Figure name="passes" value={judged.passes} unit="" />
        <Figure name="plunge" value={judged.plunge_feed} unit="mm/min" />
        <Figure name="cutter lasts" value={judged.cutter_life} unit="m of path" />
      </dl>
    </div>
  );
}

function Figure({ name, value, unit }: { name: string; value: number; unit: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>
        {figure(value)} <small>{unit}</small>
      </dd>
    </div>
  );
}

function Says({ feed }: { feed: Feed }) {
  return (
    <footer class="says">
      <p>
        <b>Computed, not tried.</b> Make a test cut first, in scrap of the same sheet, before a setting goes to work; wear eye
        protection, stand clear, and stop at a change of sound, at smoke or at melting chips. What the machine's and the
        cutter's makers allow comes before any figure here.
      </p>
      {feed.notes.length > 0 && (
        <details>
          <summary>What was assumed ({feed.notes.length})</summary>
          <ul>
            {feed.notes.map((note) => (
              <li key={note}>{note}</li>
            ))}
          </ul>
        </details>
      )}
    </footer>
  );
}
