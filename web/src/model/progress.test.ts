import { expect, test } from "vitest";
import type { Stage, State } from "./api";
import { progressOf, saidOf } from "./progress";

const stages: Stage[] = [
  { name: "fit", state: "kept", seconds: 0 },
  { name: "layout", state: "running", seconds: 0 },
  { name: "feeds", state: "waiting", seconds: 0 },
  { name: "proof", state: "waiting", seconds: 0 },
];

test("a running stage counts half", () => {
  expect(progressOf(stages)).toEqual({ share: 0.375, name: "layout" });
  expect(progressOf([])).toEqual({ share: 0, name: "planning" });
});

test("the end is said once and plainly", () => {
  const state = (plan: Partial<State["plan"]>): State => ({ version: "", job: null, plan: { state: "none", serial: 0, of: "", stages: [], ...plan } });
  expect(saidOf(state({ state: "running", stages }))).toBe("Planning: layout");
  expect(saidOf(state({ state: "done", verdict: "findings" }))).toBe("Planned, with findings");
  expect(saidOf(null)).toBe("");
});
