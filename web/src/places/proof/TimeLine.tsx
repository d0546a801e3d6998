// Time from left to right: programs, findings, and where we are. Scrubbed by hand, by key, or played.
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { keyStep, speeds, stepped } from "../../model/playback";
import { clock, spokenTime, ticks } from "../../model/times";
import { findingsHere, goTo, playing, setup, span, spans, speed, time, timeOf, tip } from "./moment";
import { togglePlay } from "./play";

/** Left and right of the track, in step with the charts below. */
export const inset = { left: 64, right: 16 };

export function TimeLine() {
  const at = tip.value;
  const line = at ? `line ${at.line}` : "";
  return (
    <div class="timeline">
      <Track />
      <div class="playing">
        <button type="button" class="play" disabled={span.value === 0} onClick={togglePlay}>
          {playing.value ? "❚❚ Pause" : "▶ Play"}
        </button>
        <label>
          <span class="quiet">speed</span>
          <select value={speed.value} onChange={(event) => (speed.value = Number(event.currentTarget.value))}>
            {speeds.map((s) => (
              <option key={s} value={s}>
                × {s}
              </option>
            ))}
          </select>
        </label>
        <output class="now">
          <b>{clock(time.value, true)}</b> of {clock(span.value)}
        </output>
        {at && (
          <span class="where">
            X {at.at[0].toFixed(2)} Y {at.at[1].toFixed(2)} <span class="quiet">above the bed</span> {at.at[2].toFixed(2)}{" "}
            <span class="quiet">
              {line}
              {at.rapid ? ", rapid" : ""}
            </span>
          </span>
        )}
      </div>
    </div>
  );
}

function Track() {
  const box = useRef<HTMLDivElement>(null);
  const width = useSignal(600);
  useEffect(() => {
    const element = box.current;
    if (!element) return;
    const watch = new ResizeObserver(() => (width.value = element.clientWidth));
    watch.observe(element);
    return () => watch.disconnect();
  }, []);
  const total = span.value;
  const room = Math.max(1, width.value - inset.left - inset.right);
  const x = (t: number) => inset.left + (total > 0 ? (t / total) * room : 0);
  const scrub = (event: PointerEvent) => {
    const left = box.current?.getBoundingClientRect().left ?? 0;
    const share = (event.clientX - left - inset.left) / room;
    playing.value = false;
    time.value = Math.min(total, Math.max(0, share * total));
  };
  const onKeyDown = (event: KeyboardEvent) => {
    if (event.key === " ") {
      event.preventDefault();
      togglePlay();
      return;
    }
    const step = keyStep(event.key, event.shiftKey, total);
    if (step === undefined) return;
    event.preventDefault();
    playing.value = false;
    time.value = stepped(time.value, step, total);
  };
  const programs = setup.value?.programs ?? [];
  const above = findingsHere.value.length > 0 ? 26 : 0; // room for the marks of findings
  return (
    <div class="track" ref={box}>
      <div
        class="slider"
        role="slider"
        tabIndex={0}
        aria-label="Time"
        aria-valuemin={0}
        aria-valuemax={Math.round(total)}
        aria-valuenow={Math.round(time.value)}
        aria-valuetext={`${spokenTime(time.value)}, ${programs[tip.value?.program ?? 0]?.cutter ?? ""}, line ${tip.value?.line ?? 1}`}
        onKeyDown={onKeyDown}
        onPointerDown={(event) => {
          event.currentTarget.setPointerCapture(event.pointerId);
          event.currentTarget.focus();
          scrub(event);
        }}
        onPointerMove={(event) => event.currentTarget.hasPointerCapture(event.pointerId) && scrub(event)}
      >
        <svg width={width.value} height={44 + above} viewBox={`0 ${-above} ${width.value} ${44 + above}`} aria-hidden="true">
          {spans.value.map((s, i) => (
            <g key={i}>
              <rect class={i % 2 ? "run odd" : "run"} x={x(s.from)} y={4} width={Math.max(0, x(s.to) - x(s.from))} height={18} />
              {x(s.to) - x(s.from) > 60 && (
                <text x={x(s.from) + 6} y={17}>
                  {programs[i]?.cutter}
                </text>
              )}
            </g>
          ))}
          <rect class="done" x={inset.left} y={22} width={Math.max(0, x(time.value) - inset.left)} height={3} />
          <line class="rail" x1={inset.left} x2={inset.left + room} y1={25.5} y2={25.5} />
          {ticks(total, (90 / room) * total || 1).map((t) => (
            <g key={t}>
              <line class="rail" x1={x(t)} x2={x(t)} y1={25} y2={30} />
              <text class="tick" x={x(t)} y={41} text-anchor="middle">
                {clock(t)}
              </text>
            </g>
          ))}
          <path class="hand" d={`M${x(time.value)} 25 l-7 -9 v-12 h14 v12 z M${x(time.value)} 25 V44`} />
        </svg>
      </div>
      {findingsHere.value.map((finding, i) => {
        const t = timeOf(finding);
        if (t === undefined) return null;
        return (
          <button
            key={i}
            type="button"
            class="mark"
            style={{ left: `${x(t)}px` }}
            aria-label={`Finding: ${finding.text}`}
            title={finding.text}
            onClick={() => goTo(finding)}
          >
            !
          </button>
        );
      })}
    </div>
  );
}
