// The proof: the sheet as the programs' own text cuts it, moment by moment.
import { useSignalEffect } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Plan } from "../../model/api";
import { clock } from "../../model/times";
import { programIndex } from "../../model/findings";
import { PlanGate } from "../plan/PlanGate";
import { Findings } from "./Findings";
import { Loads } from "./Loads";
import { ProgramText } from "./ProgramText";
import { Stage } from "./Stage";
import { TimeLine } from "./TimeLine";
import { chooseSetup, findings, loadReplay, setup } from "./moment";
import { keepPlaying } from "./play";
import "./along.css";
import "./said.css";
import "./proof.css";

export default function Proof() {
  return <PlanGate what="the cut, moment by moment, and what the proof found in it">{(plan) => <Work plan={plan} />}</PlanGate>;
}

function Work({ plan }: { plan: Plan }) {
  useSignalEffect(() => void loadReplay());
  useEffect(keepPlaying, []);
  return (
    <div class="proof">
      <h1 class="visually-hidden">Proof</h1>
      <Setups plan={plan} />
      <Stage plan={plan} />
      <section class="along" aria-label="Along time">
        <TimeLine />
        <Loads plan={plan} />
      </section>
      <aside class="said" aria-label="Findings and program">
        <Findings />
        <ProgramText />
      </aside>
    </div>
  );
}

function Setups({ plan }: { plan: Plan }) {
  const chosen = setup.value?.name;
  return (
    <nav class="setups" aria-label="Setups">
      <ol>
        {plan.setups.map((s) => {
          const faults = findings.value.filter((f) => programIndex(f, s.programs) >= 0).length;
          return (
            <li key={s.name}>
              <button type="button" aria-pressed={s.name === chosen} onClick={() => chooseSetup(s.name)}>
                <span class="name">{s.name}</span>
                <span class="quiet">
                  {clock(s.programs.reduce((sum, p) => sum + p.time, 0))}
                  {faults > 0 && <b class="rust"> ! {faults}</b>}
                </span>
              </button>
            </li>
          );
        })}
      </ol>
    </nav>
  );
}
