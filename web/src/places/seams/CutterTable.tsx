// Cutter against detail: a smaller cutter keeps more of the drawing and takes longer.
import { useEffect, useState } from "preact/hooks";
import { get } from "../../api/client";
import { fail, job } from "../../api/store";
import type { Detail } from "../../model/api";

export function CutterTable({ serial }: { serial: string }) {
  const [detail, setDetail] = useState<Detail | null>(null);
  const revision = job.value?.revision ?? "";
  useEffect(() => {
    const stop = new AbortController();
    get<Detail>("/api/detail", stop.signal).then(setDetail, fail);
    return () => stop.abort();
  }, [serial, revision]);
  if (!detail) return <p class="quiet cutters">Weighing cutters …</p>;
  return (
    <div class="cutters">
      <h2>
        Cutter against detail <span class="quiet">up to {detail.detail.toFixed(2)} mm may go</span>
      </h2>
      <div class="scroll">
        <table>
          <thead>
            <tr>
              <th scope="col">Material</th>
              <th scope="col">Cutter</th>
              <th scope="col">⌀</th>
              <th scope="col">Moves</th>
              <th scope="col">at</th>
              <th scope="col">Lost mm²</th>
              <th scope="col">Verdict</th>
            </tr>
          </thead>
          <tbody>
            {detail.cutters.map((row) => (
              <tr key={`${row.material} ${row.cutter}`} class={row.chosen ? "chosen" : undefined}>
                <th scope="row">{row.material}</th>
                <td class="word">{row.cutter}</td>
                <td>{row.DC.toFixed(2)}</td>
                <td class={row.within ? undefined : "over"}>{row.moved_max.toFixed(3)}</td>
                <td class="word">{row.moved_in}</td>
                <td>{row.area_lost.toFixed(2)}</td>
                <td class="word">{row.chosen ? "● taken" : row.within ? (row.largest ? "largest that keeps" : "keeps") : "loses too much"}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </div>
  );
}
