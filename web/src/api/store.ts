// What the page knows, and the few ways to change it. Everything shown derives from these signals; the program's answer
// is the only source of truth, nothing is kept here that it could not tell again.
import { batch, computed, signal } from "@preact/signals";
import type { Drawing, Edit, Job, JobText, Plan, Proof, Shop, State } from "../model/api";
import { Gone, Refused, get, order, post, upload } from "./client";
import { notify } from "./notices";

export type Connection = "starting" | "open" | "gone" | "locked";

export const connection = signal<Connection>("starting");
export const state = signal<State | null>(null);
export const shop = signal<Shop | null>(null);
export const job = signal<Job | null>(null);
/** The job file as it stands when it cannot be used; `job` then still holds the last good one. */
export const faultyJob = signal<JobText | null>(null);
export const drawing = signal<Drawing | null>(null);
export const plan = signal<Plan | null>(null);
export const proof = signal<Proof | null>(null);
/** True while a change is on its way to the program. */
export const writing = signal(false);

export const planning = computed(() => state.value?.plan.state === "running");
/** The plan at hand was made from another text of the job than the present one. */
export const planIsOld = computed(() => {
  const now = state.value;
  return plan.value !== null && now?.job != null && now.plan.of !== now.job.revision;
});

let knownSerial = -1;
let knownDrawing = "";

function takeJob(answer: Job | JobText): void {
  batch(() => {
    if (answer.problem === null) {
      job.value = answer;
      faultyJob.value = null;
    } else {
      faultyJob.value = answer;
    }
  });
}

/** What the drawing's regions depend on: a change of these asks for them anew. */
function drawingKey(of: Job): string {
  return JSON.stringify([of.path, of.drawing]);
}

async function orNull<T>(asked: Promise<T>): Promise<T | null> {
  try {
    return await asked;
  } catch (error) {
    if (error instanceof Refused && error.status !== 403) return null;
    throw error;
  }
}

async function takeDrawing(): Promise<void> {
  const current = job.value;
  if (current === null || drawingKey(current) === knownDrawing) return;
  const key = drawingKey(current);
  const answer = await orNull(get<Drawing>("/api/drawing"));
  knownDrawing = key;
  drawing.value = answer;
}

async function takePlan(serial: number, exists: boolean): Promise<void> {
  if (serial === knownSerial) return;
  const [newPlan, newProof] = exists
    ? await Promise.all([orNull(get<Plan>("/api/plan")), orNull(get<Proof>("/api/proof"))])
    : [null, null];
  knownSerial = serial;
  batch(() => {
    plan.value = newPlan;
    proof.value = newProof;
  });
}

/** Asks for the state and for whatever it says is new. */
export async function refresh(): Promise<void> {
  try {
    const now = await get<State>("/api/state");
    shop.value ??= await get<Shop>("/api/shop");
    batch(() => {
      connection.value = "open";
      state.value = now;
    });
    if (now.job === null) {
      knownDrawing = "";
      batch(() => {
        job.value = null;
        faultyJob.value = null;
        drawing.value = null;
      });
    } else {
      const known = (faultyJob.value ?? job.value)?.revision;
      if (known !== now.job.revision && !writing.value) takeJob(await get<Job | JobText>("/api/job"));
      await takeDrawing();
    }
    await takePlan(now.plan.serial, now.plan.serial > 0 || now.plan.state !== "none");
  } catch (error) {
    fail(error);
  }
}

/** One place that says what went wrong: the page never fails in silence. */
export function fail(error: unknown): void {
  if (error instanceof Gone) {
    connection.value = "gone";
  } else if (error instanceof Refused && error.status === 403) {
    connection.value = "locked";
  } else if (error instanceof Refused && error.status === 409) {
    notify({ tone: "finding", text: error.message, key: "stale" });
  } else if (error instanceof Refused) {
    notify({ tone: "finding", text: error.message });
  } else if (!(error instanceof DOMException && error.name === "AbortError")) {
    notify({ tone: "finding", text: error instanceof Error ? error.message : String(error) });
  }
}

// Changes go out one after the other, so that each is made on the newest revision.
let last: Promise<unknown> = Promise.resolve();

function inTurn(change: () => Promise<void>): Promise<boolean> {
  const mine = last.then(async () => {
    writing.value = true;
    try {
      await change();
      return true;
    } catch (error) {
      fail(error);
      return false;
    } finally {
      writing.value = false;
      await refresh();
    }
  });
  last = mine;
  return mine;
}

function revision(): string {
  return (faultyJob.value ?? job.value)?.revision ?? "";
}

/** One undoable change of the job file; `edits` is made from the job as it is when the change's turn comes.
 *  True when it was taken. */
export function edit(label: string, edits: (current: Job) => Edit[]): Promise<boolean> {
  return inTurn(async () => {
    if (job.value === null) return;
    const list = edits(job.value);
    if (list.length === 0) return;
    takeJob(await post<Job | JobText>("/api/job/edits", { revision: revision(), label, edits: list }));
  });
}

export function writeText(label: string, text: string): Promise<boolean> {
  return inTurn(async () => takeJob(await post<Job | JobText>("/api/job/text", { revision: revision(), label, text })));
}

export function undo(): Promise<boolean> {
  return inTurn(async () => takeJob(await post<Job | JobText>("/api/job/undo", { revision: revision() })));
}

export function redo(): Promise<boolean> {
  return inTurn(async () => takeJob(await post<Job | JobText>("/api/job/redo", { revision: revision() })));
}

/** The file on disk was changed by somebody else: take what is there now. */
export function takeTheirs(): Promise<boolean> {
  return inTurn(async () => takeJob(await post<Job | JobText>("/api/job/reload")));
}

/** The same, and then our own text over it, as one change that undo takes back. */
export function keepMine(): Promise<boolean> {
  return inTurn(async () => {
    const mine = (faultyJob.value ?? job.value)?.text;
    takeJob(await post<Job | JobText>("/api/job/reload"));
    if (mine === undefined) return;
    const label = "keep the page's job over the changed file";
    takeJob(await post<Job | JobText>("/api/job/text", { revision: revision(), label, text: mine }));
  });
}

export function openDrawing(file: File, width?: number): Promise<boolean> {
  return inTurn(async () => {
    const wanted = width === undefined ? "" : `&width=${width}`;
    takeJob(await upload<Job | JobText>(`/api/drawing?name=${encodeURIComponent(file.name)}${wanted}`, file));
    knownDrawing = "";
  });
}

export function startPlan(): Promise<boolean> {
  return inTurn(() => order("/api/plan", "POST"));
}

export async function stopPlan(): Promise<void> {
  try {
    await order("/api/plan", "DELETE");
  } catch (error) {
    fail(error);
  }
  await refresh();
}
