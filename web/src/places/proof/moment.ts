// The moment that the proof shows. Kept between visits of the place.
import { computed, signal } from "@preact/signals";
import { get, query } from "../../api/client";
import { fail, plan, proof, state } from "../../api/store";
import type { Finding, Replay } from "../../model/api";
import { programIndex, setupOf } from "../../model/findings";
import { fittingSpeed } from "../../model/playback";
import { programSpans, timeNear, tipAt } from "../../model/replay";

export const setupName = signal("");
export const time = signal(0);
export const playing = signal(false);
export const speed = signal(16);
export const chosenFinding = signal<Finding | null>(null);
export const replay = signal<Replay | null>(null);
/** Why there is no replay, or "". */
export const replayFault = signal("");

export const setup = computed(
  () => plan.value?.setups.find((s) => s.name === setupName.value) ?? plan.value?.setups[0] ?? null,
);
export const span = computed(() => replay.value?.time ?? 0);
export const tip = computed(() => (replay.value ? tipAt(replay.value.path, time.value) : undefined));
export const spans = computed(() =>
  replay.value && setup.value ? programSpans(replay.value.path, setup.value.programs.length) : [],
);
/** Program Z plus this is the height above the bed. */
export const lift = computed(() => (setup.value && !setup.value.z_zero_on_bed ? setup.value.stock.thickness : 0));

export const findings = computed(() => proof.value?.findings ?? []);
export const findingsHere = computed(() => {
  const programs = setup.value?.programs ?? [];
  return findings.value.filter((f) => programIndex(f, programs) >= 0);
});

export function timeOf(finding: Finding): number | undefined {
  const programs = setup.value?.programs ?? [];
  const path = replay.value?.path;
  const [x, y, z] = finding.at;
  return path && timeNear(path, programIndex(finding, programs), finding.line, [x, y, z + lift.value]);
}

let loaded = "";
let loading: AbortController | undefined;

/** Fetches the chosen setup's replay, once for each plan. */
export async function loadReplay(): Promise<void> {
  const name = setup.value?.name;
  const key = `${state.value?.plan.serial}/${name}`;
  if (name === undefined || key === loaded) return;
  loading?.abort();
  loading = new AbortController();
  loaded = key;
  replay.value = null;
  replayFault.value = "";
  playing.value = false;
  try {
    const answer = await get<Replay>(`/api/replay${query({ setup: name })}`, loading.signal);
    if (loaded !== key) return;
    replay.value = answer;
    speed.value = fittingSpeed(answer.time);
    const wanted = chosenFinding.value && setupOf(chosenFinding.value, plan.value?.setups ?? [])?.name === name;
    const at = wanted && chosenFinding.value ? timeOf(chosenFinding.value) : undefined;
    time.value = at ?? answer.time;
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") return;
    loaded = "";
    replayFault.value = error instanceof Error ? error.message : String(error);
    fail(error);
  }
}

export function chooseSetup(name: string): void {
  if (chosenFinding.value && setupOf(chosenFinding.value, plan.value?.setups ?? [])?.name !== name)
    chosenFinding.value = null;
  setupName.value = name;
}

/** Goes to a finding: its setup, moment, place and line. */
export function goTo(finding: Finding): void {
  playing.value = false;
  chosenFinding.value = finding;
  const home = setupOf(finding, plan.value?.setups ?? []);
  if (home && home.name !== setup.value?.name) {
    setupName.value = home.name;
    return; // the replay's arrival sets the time
  }
  time.value = timeOf(finding) ?? time.value;
}
