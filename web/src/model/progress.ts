// How far planning is, in one share and one word.
import type { Stage, State } from "./api";

export function progressOf(stages: readonly Stage[]): { share: number; name: string } {
  const done = stages.filter((stage) => stage.state === "done" || stage.state === "kept").length;
  const running = stages.find((stage) => stage.state === "running");
  if (stages.length === 0) return { share: 0, name: "planning" };
  return { share: (done + (running ? 0.5 : 0)) / stages.length, name: running?.name ?? "planning" };
}

/** What a screen reader is told: each stage once, and the end. */
export function saidOf(state: State | null): string {
  const plan = state?.plan;
  if (!plan) return "";
  if (plan.state === "running") return `Planning: ${progressOf(plan.stages).name}`;
  if (plan.state === "failed") return `The job could not be planned: ${plan.problem?.what ?? ""}`;
  if (plan.state === "stopped") return "Planning was stopped";
  if (plan.state === "done" && plan.verdict) return plan.verdict === "proven" ? "Planned and proven" : "Planned, with findings";
  return "";
}
