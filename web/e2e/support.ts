// A real `kerfwright page` and a real browser for the cases beside this file.
import { execFileSync, spawn, type ChildProcess } from "node:child_process";
import { copyFileSync, cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium, type Browser, type Page } from "playwright-core";

const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..");
export const program = process.env["KERFWRIGHT_BINARY"] ?? process.env["KERFWRIGHT"] ?? join(root, "build", "kerfwright");
const browserFile = process.env["CHROMIUM"] ?? "/usr/bin/chromium";
const shots = join(root, "web", "e2e", "shots");

export const drawingFile = join(root, "examples", "skerry", "island.svg");

/** A copy of the example's job in a folder of its own; planned, unless told not to. */
export function exampleJob(planned = true): string {
  const folder = mkdtempSync(join(tmpdir(), "kerfwright-e2e-"));
  for (const file of ["job.toml", "island.svg"]) copyFileSync(join(root, "examples", "skerry", file), join(folder, file));
  if (planned) execFileSync(program, ["plan", join(folder, "job.toml"), "--quiet"], { stdio: ["ignore", "ignore", "pipe"] });
  return folder;
}

export function copyOf(folder: string): string {
  const copy = mkdtempSync(join(tmpdir(), "kerfwright-e2e-"));
  cpSync(folder, copy, { recursive: true });
  return copy;
}

/** Makes a retract of a program too low and proves the folder again: a rapid goes through the sheet. Gives the line. */
export function seedFault(folder: string, file: string): number {
  const path = join(folder, "out", "programs", file);
  const lines = readFileSync(path, "utf8").split("\n");
  const at = lines.findIndex((line, i) => i > 100 && line.startsWith("G0 Z"));
  lines[at] = "G0 Z4.0";
  writeFileSync(path, lines.join("\n"));
  let proof: string;
  try {
    proof = execFileSync(program, ["prove", join(folder, "out"), "--json"], { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"], maxBuffer: 1 << 28 });
  } catch (error) {
    proof = (error as { stdout: string }).stdout; // findings: the status is 1
  }
  writeFileSync(join(folder, "out", "proof.json"), proof);
  return at + 1;
}

export interface Served {
  address: string;
  folder: string;
  stop: () => void;
}

/** Starts the page for a job folder and waits for its address. */
export function serve(folder: string): Promise<Served> {
  return start(folder, [join(folder, "job.toml")]);
}

/** Starts the page in a folder without a job. */
export function serveEmpty(folder: string): Promise<Served> {
  return start(folder, []);
}

async function start(folder: string, job: string[]): Promise<Served> {
  const server: ChildProcess = spawn(program, ["page", ...job, "--no-open"], { stdio: ["ignore", "pipe", "inherit"], cwd: folder });
  const address = await new Promise<string>((resolve, reject) => {
    let said = "";
    server.stdout?.on("data", (data: Buffer) => {
      said += data.toString();
      const found = /http:\/\/\S+/.exec(said);
      if (found) resolve(found[0]);
    });
    server.on("exit", (status) => reject(new Error(`the page ended with status ${status}: ${said}`)));
  });
  return {
    address,
    folder,
    stop: () => {
      server.kill();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export function openBrowser(): Promise<Browser> {
  return chromium.launch({
    executablePath: browserFile,
    args: ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--enable-unsafe-swiftshader"],
  });
}

export interface Opening {
  width?: number;
  height?: number;
  dark?: boolean;
  touch?: boolean;
  /** For tools that are put into the page. */
  bypassCsp?: boolean;
}

/** A fresh tab at one of the places; errors on the page fail the case that asks for them. */
export async function openPlace(browser: Browser, served: Served, place: string, opening: Opening = {}): Promise<{ page: Page; errors: string[] }> {
  const context = await browser.newContext({
    viewport: { width: opening.width ?? 1280, height: opening.height ?? 800 },
    colorScheme: opening.dark ? "dark" : "light",
    hasTouch: opening.touch ?? false,
    isMobile: opening.touch ?? false,
    bypassCSP: opening.bypassCsp ?? false,
    acceptDownloads: true,
  });
  const page = await context.newPage();
  const errors: string[] = [];
  page.on("pageerror", (error) => errors.push(String(error)));
  page.on("console", (message) => {
    if (message.type() === "error" && message.text().includes("Content Security Policy")) errors.push(message.text());
  });
  await page.goto(served.address);
  await page.waitForSelector("main");
  await page.evaluate((name) => (location.hash = `/${name}`), place);
  return { page, errors };
}

export async function shot(page: Page, name: string): Promise<void> {
  mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: join(shots, `${name}.png`) });
}

/** What axe finds on the page as it is now; the tab must have been opened with `bypassCsp`. */
export async function axeFinds(page: Page): Promise<string[]> {
  await page.evaluate(readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8"));
  return page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run: (on: Document) => Promise<{ violations: { id: string; nodes: { html: string; failureSummary?: string }[] }[] }> } };
    return (await axe.run(document)).violations.flatMap((v) => v.nodes.slice(0, 3).map((n) => `${v.id}: ${n.html.slice(0, 160)} ${(n.failureSummary ?? "").slice(0, 200)}`));
  });
}
