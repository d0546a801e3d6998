import { drawing, job, plan, planIsOld, planning, proof, redo, startPlan, state, stopPlan, undo } from "../api/store";
import { placeTitles, places, placeWord } from "../model/places";
import { place } from "./route";
import { nextTheme, theme } from "./theme";

export function TopRow() {
  return (
    <header class="top">
      <nav class="path" aria-label="Places, in the order of the work">
        <ol>
          {places.map((name, index) => (
            <Step key={name} name={name} number={index + 1} />
          ))}
        </ol>
      </nav>
      <Tools />
    </header>
  );
}

function Step({ name, number }: { name: (typeof places)[number]; number: number }) {
  const known = { state: state.value, job: job.value, drawing: drawing.value, plan: plan.value, proof: proof.value };
  const word = placeWord[name](known);
  return (
    <li>
      <a href={`#/${name}`} aria-current={place.value === name ? "page" : undefined}>
        <span class="number" aria-hidden="true">
          {number}
        </span>
        <span class="name">{placeTitles[name]}</span>
        <span class={`word ${word.tone}`}>{word.text}</span>
      </a>
    </li>
  );
}

function Tools() {
  const now = state.value?.job;
  return (
    <div class="tools">
      <button type="button" disabled={!now?.undo} title={now?.undo ? `Undo: ${now.undo}` : "Nothing to undo"} onClick={() => void undo()}>
        Undo
      </button>
      <button type="button" disabled={!now?.redo} title={now?.redo ? `Redo: ${now.redo}` : "Nothing to redo"} onClick={() => void redo()}>
        Redo
      </button>
      <button type="button" onClick={nextTheme}>
        {theme.value}
      </button>
      {planning.value ? (
        <button type="button" class="main" onClick={() => void stopPlan()}>
          Stop
        </button>
      ) : (
        <button type="button" class="main" disabled={!now} onClick={() => void startPlan()}>
          {planIsOld.value ? "Plan again" : "Plan"}
        </button>
      )}
    </div>
  );
}
