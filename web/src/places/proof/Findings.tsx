// What the proof found; each leads to its moment, its place and its line.
import { proof } from "../../api/store";
import { kindInWords } from "../../model/findings";
import { clock } from "../../model/times";
import { chosenFinding, findings, goTo } from "./moment";

export function Findings() {
  const judged = proof.value;
  if (judged === null) return <p class="verdict">No proof of this plan is at hand.</p>;
  const programs = judged.setups.reduce((sum, s) => sum + s.programs.length, 0);
  const n = judged.findings.length;
  const proven = judged.verdict === "proven";
  return (
    <section class={proven ? "judged" : "judged finding"} aria-label="Verdict and findings" data-verdict={judged.verdict}>
      <h2>{proven ? "✓ Proven" : `! ${n} finding${n === 1 ? "" : "s"}`}</h2>
      <p class="quiet">
        {programs} programs for {judged.setups.length} setups, {clock(judged.setups.reduce((sum, s) => sum + s.time, 0))} in all,
        judged by their own text.
      </p>
      {n === 0 ? <Edges /> : <List />}
    </section>
  );
}

function List() {
  return (
    <ul>
      {findings.value.map((finding, i) => (
        <li key={i}>
          <button type="button" aria-pressed={chosenFinding.value === finding} onClick={() => goTo(finding)}>
            <b>
              <span aria-hidden="true">! </span>
              {kindInWords(finding.kind)}
            </b>
            <span>{finding.text}</span>
            <span class="quiet">
              {finding.program.replace(/^.*\//, "")}, line {finding.line}
            </span>
          </button>
        </li>
      ))}
    </ul>
  );
}

/** Nothing found: how near the finished edges come, by the part that is worst. */
function Edges() {
  const parts = proof.value?.parts ?? [];
  if (parts.length === 0) return null;
  const inward = parts.reduce((a, b) => (b.deviation_min < a.deviation_min ? b : a));
  const outward = parts.reduce((a, b) => (b.deviation_max > a.deviation_max ? b : a));
  const mm = (v: number) => `${v < 0 ? "−" : "+"}${Math.abs(v).toFixed(3)} mm`;
  return (
    <>
      <dl>
        <dt>deepest into a part</dt>
        <dd>
          {mm(inward.deviation_min)} <span class="quiet">{inward.id}</span>
        </dd>
        <dt>most left on a part</dt>
        <dd>
          {mm(outward.deviation_max)} <span class="quiet">{outward.id}</span>
        </dd>
      </dl>
      <p class="quiet">A proof is of the text, not of the bench: clamps, zero and cutter must be as the papers say.</p>
    </>
  );
}
