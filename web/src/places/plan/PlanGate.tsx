// What a place that shows the plan says while there is none, while it is made, and when the job has moved on.
import type { ComponentChildren } from "preact";
import { job, plan, planIsOld, startPlan, state } from "../../api/store";
import type { Plan, PlanState, Problem, Stage } from "../../model/api";
import "./plan.css";

interface GateProps {
  /** What will be seen here, as the end of "Plan the job to see ...". */
  what: string;
  children: (plan: Plan) => ComponentChildren;
}

export function PlanGate({ what, children }: GateProps) {
  const run = state.value?.plan;
  if (plan.value !== null) {
    return (
      <div class="gate">
        <OldPlan run={run} />
        {children(plan.value)}
      </div>
    );
  }
  if (job.value === null)
    return (
      <Empty title="No job is open">
        <p>Everything begins with a drawing of the set.</p>
        <p>
          <a class="button" href="#/drawing">
            Go to the drawing
          </a>
        </p>
      </Empty>
    );
  if (run?.state === "running")
    return (
      <Empty title="Planning">
        <Stages stages={run.stages} />
      </Empty>
    );
  if (run?.state === "failed" && run.problem)
    return (
      <Empty title="The job could not be planned">
        <Fault problem={run.problem} />
        <PlanButton word="Plan again" />
      </Empty>
    );
  return (
    <Empty title={run?.state === "stopped" ? "Planning was stopped" : "Not planned yet"}>
      <p>Plan the job to see {what}.</p>
      <PlanButton word="Plan the job" />
    </Empty>
  );
}

function Empty({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <div class="gate-empty">
      <h1>{title}</h1>
      {children}
    </div>
  );
}

function PlanButton({ word }: { word: string }) {
  return (
    <p>
      <button type="button" class="main" disabled={state.value?.job == null} onClick={() => void startPlan()}>
        {word}
      </button>
    </p>
  );
}

function OldPlan({ run }: { run: PlanState | undefined }) {
  if (run?.state === "running")
    return (
      <div class="gate-note" role="status">
        <p>
          <b>Planning anew.</b> Below is still the plan before.
        </p>
        <Stages stages={run.stages} />
      </div>
    );
  if (run?.state === "failed" && run.problem)
    return (
      <div class="gate-note finding" role="status">
        <p>
          <b>The job as it is now could not be planned.</b> Below is still the plan before.
        </p>
        <Fault problem={run.problem} />
        <PlanButton word="Plan again" />
      </div>
    );
  if (!planIsOld.value) return null;
  return (
    <div class="gate-note" role="status">
      <p>
        <b>Planned from an older job.</b> The job was changed since; programs, proof and papers do not know of it yet.
      </p>
      <PlanButton word="Plan again" />
    </div>
  );
}

function Fault({ problem }: { problem: Problem }) {
  const where = [problem.file, problem.line > 0 ? problem.line : "", problem.column > 0 ? problem.column : ""];
  return (
    <div class="gate-fault">
      {problem.file && <p class="mono">{where.filter((part) => part !== "").join(":")}</p>}
      <p>{problem.what || problem.text}</p>
      {problem.remedy && <p class="quiet">What to do: {problem.remedy}</p>}
    </div>
  );
}

const marks: Record<Stage["state"], string> = { waiting: "·", running: "▸", done: "✓", kept: "=" };
const words: Record<Stage["state"], string> = { waiting: "waits", running: "runs", done: "done", kept: "kept" };

function Stages({ stages }: { stages: Stage[] }) {
  return (
    <ol class="gate-stages">
      {stages.map((stage) => (
        <li key={stage.name} class={stage.state}>
          <span aria-hidden="true">{marks[stage.state]}</span> {stage.name}{" "}
          <span class="quiet">{stage.state === "done" ? `${stage.seconds.toFixed(1)} s` : words[stage.state]}</span>
        </li>
      ))}
    </ol>
  );
}
