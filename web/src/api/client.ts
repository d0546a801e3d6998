// Talks to the program that serves this page. The token comes behind the # of the printed address, stays in this
// tab's sessionStorage and is taken out of the address bar, so that it is in no history entry and no referrer.
import type { Problem } from "../model/api";

const STORED = "kerfwright-token";

/** Takes the token out of the address, once at the start. A hash that begins with "/" is a place, not a token. */
export function takeToken(): string {
  const hash = location.hash.slice(1);
  if (hash !== "" && !hash.startsWith("/")) {
    sessionStorage.setItem(STORED, hash);
    history.replaceState(null, "", location.pathname);
  }
  return token();
}

export function token(): string {
  return sessionStorage.getItem(STORED) ?? "";
}

/** A refused request: 400 input, 403 token, 404 nothing there, 409 stale, 413 too large, 500 fault of the program. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly problem: Problem,
  ) {
    super(problem.text || problem.what);
  }
}

/** The program did not answer at all. */
export class Gone extends Error {}

function asProblem(status: number, body: unknown): Problem {
  const empty = { file: "", line: 0, column: 0, what: "", remedy: "", text: "" };
  if (typeof body === "object" && body !== null && "problem" in body) {
    return { ...empty, ...(body.problem as Partial<Problem>) };
  }
  const what = `The program answered with status ${status}`;
  return { ...empty, what, text: what };
}

async function send(path: string, init: RequestInit = {}): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path, {
      ...init,
      headers: { ...init.headers, "X-Kerfwright-Token": token() },
      cache: "no-store",
    });
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") throw error;
    throw new Gone("The program does not answer");
  }
  if (!response.ok) {
    const body: unknown = await response.json().catch(() => null);
    throw new Refused(response.status, asProblem(response.status, body));
  }
  return response;
}

async function json<T>(response: Promise<Response>): Promise<T> {
  return (await (await response).json()) as T;
}

export function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  return json<T>(send(path, signal ? { signal } : {}));
}

export function post<T>(path: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  const init: RequestInit = { method: "POST" };
  if (body !== undefined) {
    init.body = JSON.stringify(body);
    init.headers = { "Content-Type": "application/json" };
  }
  if (signal) init.signal = signal;
  return json<T>(send(path, init));
}

/** A POST whose answer carries nothing that is needed. */
export async function order(path: string, method: "POST" | "DELETE"): Promise<void> {
  await send(path, { method });
}

export function upload<T>(path: string, file: Blob): Promise<T> {
  return json<T>(send(path, { method: "POST", body: file, headers: { "Content-Type": "application/octet-stream" } }));
}

/** A file of the output folder, for showing or saving. */
export async function blob(path: string): Promise<Blob> {
  return (await send(path)).blob();
}

export async function text(path: string): Promise<string> {
  return (await send(path)).text();
}

export interface Floats<Header> {
  header: Header;
  values: Float32Array;
}

/** A body of float32 little endian with its shape in a header. */
export async function floats<Header>(path: string, headerName: string, signal?: AbortSignal): Promise<Floats<Header>> {
  const response = await send(path, signal ? { signal } : {});
  const header = JSON.parse(response.headers.get(headerName) ?? "null") as Header;
  return { header, values: new Float32Array(await response.arrayBuffer()) };
}

export function query(values: Record<string, string | number | undefined>): string {
  const parts = Object.entries(values).filter(([, value]) => value !== undefined && value !== "");
  return parts.length === 0 ? "" : "?" + new URLSearchParams(parts.map(([k, v]) => [k, String(v)])).toString();
}
