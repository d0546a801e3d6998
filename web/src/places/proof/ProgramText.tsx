// The program's text. Only the lines in view are on the page; the current one is marked; a line leads to its moment.
import { useSignal } from "@preact/signals";
import { useEffect, useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import { query, text } from "../../api/client";
import { fail, state } from "../../api/store";
import { programIndex } from "../../model/findings";
import { linesOf, scrollToLine, windowOf, wordsOf } from "../../model/programText";
import { timeOfLine } from "../../model/replay";
import { chosenFinding, findingsHere, playing, replay, setup, spans, time, tip } from "./moment";

function lineHeight(): number {
  return matchMedia("(pointer: coarse)").matches ? 44 : 22;
}

function useText(file: string | undefined): string[] {
  const [lines, setLines] = useState<string[]>([]);
  const serial = state.value?.plan.serial;
  useEffect(() => {
    let wanted = true;
    setLines([]);
    if (file !== undefined)
      text(`/api/file${query({ path: file })}`).then((t) => wanted && setLines(linesOf(t)), fail);
    return () => {
      wanted = false;
    };
  }, [file, serial]);
  return lines;
}

export function ProgramText() {
  const programs = setup.value?.programs ?? [];
  const index = Math.min(tip.value?.program ?? 0, Math.max(0, programs.length - 1));
  const file = programs[index]?.file;
  const lines = useText(file);
  const marked = useMemo(
    () => new Set(findingsHere.value.filter((f) => programIndex(f, programs) === index).map((f) => f.line)),
    [findingsHere.value, file],
  );
  const chosen = chosenFinding.value;
  const onFinding = chosen !== null && programIndex(chosen, programs) === index;
  const current = onFinding && !playing.value ? chosen.line : (tip.value?.line ?? 1);
  const toLine = (line: number) => {
    playing.value = false;
    chosenFinding.value = null;
    const at = replay.value && timeOfLine(replay.value.path, index, line);
    if (at !== undefined && at !== null) time.value = at;
  };
  return (
    <section class="program" aria-label="Program">
      <label>
        <span class="quiet">Program</span>
        <select
          value={index}
          onChange={(event) => {
            const to = Number(event.currentTarget.value);
            playing.value = false;
            time.value = (spans.value[to]?.from ?? 0) + 1e-3;
          }}
        >
          {programs.map((p, i) => (
            <option key={p.file} value={i}>
              {p.file.replace(/^.*\//, "")}
            </option>
          ))}
        </select>
      </label>
      <Lines lines={lines} current={current} marked={marked} onLine={toLine} />
    </section>
  );
}

interface LinesProps {
  lines: string[];
  /** 1-based. */
  current: number;
  marked: ReadonlySet<number>;
  onLine: (line: number) => void;
}

function Lines({ lines, current, marked, onLine }: LinesProps) {
  const box = useRef<HTMLDivElement>(null);
  const scroll = useSignal(0);
  const view = useSignal(400);
  const height = useMemo(lineHeight, []);
  useEffect(() => {
    const element = box.current;
    if (!element) return;
    const watch = new ResizeObserver(() => (view.value = element.clientHeight));
    watch.observe(element);
    return () => watch.disconnect();
  }, []);
  useLayoutEffect(() => {
    const element = box.current;
    const to = element && scrollToLine(current - 1, height, element.scrollTop, element.clientHeight);
    if (element && to !== undefined && to !== null) element.scrollTop = to;
  }, [current, lines, view.value]);
  const { first, end } = windowOf(lines.length, height, scroll.value, view.value);
  const onKeyDown = (event: KeyboardEvent) => {
    const page = Math.max(1, Math.floor(view.value / height) - 1);
    const by = { ArrowDown: 1, ArrowUp: -1, PageDown: page, PageUp: -page, Home: -lines.length, End: lines.length }[event.key];
    if (by === undefined || lines.length === 0) return;
    event.preventDefault();
    onLine(Math.min(lines.length, Math.max(1, current + by)));
  };
  return (
    <div
      class="lines"
      role="listbox"
      tabIndex={0}
      aria-label="Lines of the program; a line leads to its moment"
      aria-activedescendant={current >= first + 1 && current <= end ? `line-${current}` : undefined}
      ref={box}
      onScroll={(event) => (scroll.value = event.currentTarget.scrollTop)}
      onKeyDown={onKeyDown}
    >
      <div class="all" role="presentation" style={{ height: `${lines.length * height}px` }}>
        {lines.slice(first, end).map((line, i) => {
          const n = first + i + 1;
          return (
            <div
              key={n}
              id={`line-${n}`}
              role="option"
              aria-selected={n === current}
              aria-setsize={lines.length}
              aria-posinset={n}
              class={marked.has(n) ? "line fault" : "line"}
              style={{ top: `${(n - 1) * height}px`, height: `${height}px`, lineHeight: `${height}px` }}
              onClick={() => onLine(n)}
            >
              <span class="n">
                {marked.has(n) ? "! " : n === current ? "▸ " : ""}
                {n}
              </span>
              <code>
                {wordsOf(line).map((word, k) => (
                  <span key={k} class={word.kind}>
                    {word.text}
                  </span>
                ))}
              </code>
            </div>
          );
        })}
      </div>
    </div>
  );
}
