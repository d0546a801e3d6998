// Sheets: what lies where, side by side and to one scale; moved by hand, checked at once.
import { useSignal } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { arranged, type BenchRoom } from "../../model/bench";
import { PlanGate } from "../plan/PlanGate";
import { Board } from "./Board";
import { Panel } from "./Panel";
import { followClashes } from "./changes";
import { closeUp, sheets } from "./table";
import "./sheets.css";
import "./panel.css";

/** Pixels above each sheet for its name; more where fingers point. */
const header = matchMedia("(pointer: coarse)").matches ? 66 : 42;
const narrowest = header > 50 ? 180 : 150;
const gap = 22;
const margin = 18;
const ruler = 18;

export default function Sheets() {
  return <PlanGate what="every part on its sheet">{() => <Work />}</PlanGate>;
}

function Work() {
  useEffect(followClashes, []);
  return (
    <div
      class="sheets"
      onKeyDown={(event) => {
        if (event.key === "Escape" && closeUp.value !== "") closeUp.value = "";
      }}
    >
      <h1 class="visually-hidden">Sheets</h1>
      <Bench />
      <Panel />
    </div>
  );
}

function Bench() {
  const box = useRef<HTMLDivElement>(null);
  const size = useSignal({ width: 900, height: 640 });
  useEffect(() => {
    const element = box.current;
    if (!element) return;
    const watch = new ResizeObserver(() => (size.value = { width: element.clientWidth, height: element.clientHeight }));
    watch.observe(element);
    return () => watch.disconnect();
  }, []);
  const shown = closeUp.value === "" ? sheets.value : sheets.value.filter((s) => s.name === closeUp.value);
  const list = shown.length > 0 ? shown : sheets.value;
  const tall = useSteadyHeight(size.value.height, `${size.value.width} ${innerHeight} ${list.map((s) => s.name).join(" ")}`);
  const room: BenchRoom = { width: size.value.width - 2 * margin, height: tall - 2 * margin - ruler, gap, header, narrowest, least: 0.42 };
  const sizes = list.map((s) => s.size);
  const { scale, slots, height } = useMemo(() => arranged(sizes, room), [JSON.stringify([sizes, room])]);
  return (
    <section class="bench" aria-label="Sheets" ref={box}>
      <div class="all" style={{ height: `${height + 2 * margin + ruler}px` }}>
        {list.map((sheet, i) => {
          const slot = slots[i];
          if (!slot) return null;
          const moved = { ...slot, left: slot.left + margin, top: slot.top + margin };
          return <Board key={sheet.name} sheet={sheet} number={i} slot={moved} scale={scale} header={header} />;
        })}
      </div>
      <p class="ruler">
        {rulerLength(scale)} mm
        <span style={{ width: `${rulerLength(scale) * scale}px` }} />
      </p>
    </section>
  );
}

/** The greatest height so far: a notice that comes above the bench must not move the sheets under the hand. */
function useSteadyHeight(height: number, key: string): number {
  const known = useRef({ key: "", height: 0 });
  if (known.current.key !== key) known.current = { key, height };
  else if (height > known.current.height) known.current.height = height;
  return known.current.height;
}

/** A round length of about 100 pixels. */
function rulerLength(scale: number): number {
  return [10, 20, 50, 100, 200, 500].find((mm) => mm * scale >= 60) ?? 1000;
}
