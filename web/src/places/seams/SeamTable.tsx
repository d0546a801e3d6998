import { useRef } from "preact/hooks";
import { gapSign } from "../../math/gapColour";
import type { SeamColumn, SeamLine } from "../../model/seamLines";

interface Props {
  seams: SeamLine[];
  all: number;
  chosen: string;
  order: { by: SeamColumn; falling: boolean };
  full: number;
  onChoose: (id: string) => void;
  onOrder: (order: { by: SeamColumn; falling: boolean }) => void;
}

const columns: { by: SeamColumn; text: string; title: string }[] = [
  { by: "seam", text: "Seam", title: "The two pieces, or piece and tray" },
  { by: "error", text: "Error µm", title: "Worst gap error" },
  { by: "gap_min", text: "Least", title: "Smallest gap, mm" },
  { by: "gap_max", text: "Most", title: "Largest gap away from junctions, mm" },
  { by: "asked", text: "Asked", title: "Gap asked for, mm" },
  { by: "length", text: "Length", title: "mm" },
  { by: "moved_max", text: "Moved", title: "How far easing moved the border, mm" },
  { by: "spots", text: "Spots", title: "Places where the gap is not what was asked" },
];

export function SeamTable({ seams, all, chosen, order, full, onChoose, onOrder }: Props) {
  const body = useRef<HTMLTableSectionElement>(null);
  const index = Math.max(0, seams.findIndex((seam) => seam.id === chosen));
  const onKeyDown = (event: KeyboardEvent) => {
    const step = { ArrowDown: 1, ArrowUp: -1, Home: -Infinity, End: Infinity }[event.key];
    if (step === undefined) return;
    event.preventDefault();
    const next = Math.min(seams.length - 1, Math.max(0, index + step));
    const seam = seams[next];
    if (!seam) return;
    onChoose(seam.id);
    body.current?.querySelectorAll<HTMLElement>("[data-seam]")[next]?.focus();
  };
  return (
    <div class="seam-table">
      <h2>
        {seams.length === all ? `${all} seams` : `${seams.length} of ${all} seams`}
        <span class="quiet"> mm</span>
      </h2>
      <div class="scroll">
        <table>
          <thead>
            <tr>
              {columns.map(({ by, text, title }) => (
                <th key={by} scope="col" aria-sort={order.by === by ? (order.falling ? "descending" : "ascending") : undefined}>
                  <button type="button" title={title} onClick={() => onOrder({ by, falling: order.by === by ? !order.falling : by !== "seam" })}>
                    {text}
                    <span aria-hidden="true">{order.by === by ? (order.falling ? " ↓" : " ↑") : ""}</span>
                  </button>
                </th>
              ))}
            </tr>
          </thead>
          <tbody ref={body} onKeyDown={onKeyDown}>
            {seams.map((line, i) => (
              <Row key={line.id} line={line} chosen={line.id === chosen} reachable={i === index} full={full} onChoose={onChoose} />
            ))}
          </tbody>
        </table>
      </div>
    </div>
  );
}

function Row({ line, chosen, reachable, full, onChoose }: { line: SeamLine; chosen: boolean; reachable: boolean; full: number; onChoose: (id: string) => void }) {
  const { seam } = line;
  return (
    <tr class={chosen ? "chosen" : undefined} onClick={() => onChoose(line.id)}>
      <th scope="row">
        <button type="button" data-seam={line.id} aria-pressed={chosen} tabIndex={reachable ? 0 : -1}>
          {line.id}
        </button>
      </th>
      <td>
        <i class="error-mark" style={{ background: gapSign(line.error, full).colour }} />
        {(line.error * 1000).toFixed(1)}
      </td>
      <td>{seam.gap_min.toFixed(3)}</td>
      <td>{seam.gap_max.toFixed(3)}</td>
      <td>{seam.asked.toFixed(2)}</td>
      <td>{seam.length.toFixed(1)}</td>
      <td>{seam.moved_max > 0.0005 ? seam.moved_max.toFixed(3) : "–"}</td>
      <td>{seam.spots.length || "–"}</td>
    </tr>
  );
}
