// At the right of the path: undo, redo, the plan with its progress, the verdict, help, light and dark.
import { planIsOld, planning, proof, redo, startPlan, state, stopPlan, undo } from "../api/store";
import { progressOf, saidOf } from "../model/progress";
import { count } from "../model/places";
import { helpOpen } from "./Help";
import { nextTheme, theme } from "./theme";

export function Tools() {
  const now = state.value?.job;
  return (
    <div class="tools">
      <button type="button" class="sign" disabled={!now?.undo} aria-label="Undo" title={now?.undo ? `Undo: ${now.undo} (Ctrl+Z)` : "Nothing to undo"} onClick={() => void undo()}>
        ↶
      </button>
      <button type="button" class="sign" disabled={!now?.redo} aria-label="Redo" title={now?.redo ? `Redo: ${now.redo} (Ctrl+Shift+Z)` : "Nothing to redo"} onClick={() => void redo()}>
        ↷
      </button>
      <PlanButton />
      <Verdict />
      <button type="button" class="sign quiet-sign" aria-label={`Theme: ${theme.value}`} title={`Theme: ${theme.value}`} onClick={nextTheme}>
        {{ system: "◐", light: "☼", dark: "☾" }[theme.value]}
      </button>
      <button type="button" class="sign quiet-sign" aria-label="Help and keys" title="Help and keys (?)" onClick={() => (helpOpen.value = true)}>
        ?
      </button>
      <p class="visually-hidden" role="status" aria-live="polite">
        {saidOf(state.value)}
      </p>
    </div>
  );
}

function PlanButton() {
  const now = state.value;
  if (!planning.value)
    return (
      <button type="button" class="main plan-button" disabled={!now?.job} title="Plan the job (Ctrl+Enter)" onClick={() => void startPlan()}>
        {planIsOld.value ? "Plan again" : "Plan"}
      </button>
    );
  const progress = progressOf(now?.plan.stages ?? []);
  return (
    <button type="button" class="plan-button busy" title="Stop planning" onClick={() => void stopPlan()}>
      <span class="bar" style={{ transform: `scaleX(${progress.share})` }} />
      <span class="stage">{progress.name}</span>
      <span class="stop">Stop</span>
    </button>
  );
}

function Verdict() {
  if (planning.value || proof.value === null) return null;
  const proven = proof.value.verdict === "proven";
  const text = planIsOld.value ? "not planned anew" : proven ? "proven" : count(proof.value.findings.length, "finding");
  const tone = planIsOld.value ? "old" : proven ? "good" : "finding";
  return (
    <a class={`verdict ${tone}`} href="#/proof" data-verdict-word={tone}>
      <span aria-hidden="true">{tone === "good" ? "✓ " : tone === "finding" ? "! " : "… "}</span>
      {text}
    </a>
  );
}
