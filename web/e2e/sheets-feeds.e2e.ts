// Parts and clamps moved by mouse and keys, locked, placed anew, undone; settings changed and judged.
import { readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { copyOf, exampleJob, openBrowser, openPlace, serve, shot, type Served } from "./support";

let planned: string;
let browser: Browser;
let served: Served;
let page: Page;
let errors: string[];

beforeAll(async () => {
  planned = exampleJob();
  browser = await openBrowser();
}, 120_000);
afterAll(async () => {
  await browser?.close();
  rmSync(planned, { recursive: true, force: true });
});
beforeEach(async () => {
  served = await serve(copyOf(planned));
});
afterEach(async () => {
  await page?.context().close();
  served.stop();
  expect(errors).toEqual([]);
});

async function open(place: string): Promise<void> {
  ({ page, errors } = await openPlace(browser, served, place));
}

const jobText = () => readFileSync(join(served.folder, "job.toml"), "utf8");

async function middleOf(selector: string): Promise<{ x: number; y: number }> {
  const box = await page.locator(selector).boundingBox();
  if (!box) throw new Error(`${selector} is not seen`);
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

async function drag(selector: string, dx: number, dy: number, release = true): Promise<void> {
  const { x, y } = await middleOf(selector);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + dx, y + dy, { steps: 10 });
  if (release) await page.mouse.up();
}

const clashes = () => page.locator(".clashes");
const undo = () => page.getByRole("button", { name: "Undo" });

describe("sheets", () => {
  beforeEach(async () => {
    await open("sheets");
    await page.waitForSelector("[data-part=peat]");
    await clashes().getByText("Nothing clashes").waitFor();
  });

  it("shows every sheet to one scale, and nothing clashes in a fresh plan", async () => {
    const scales = await page.locator("svg[data-sheet]").evaluateAll((list) => list.map((e) => (e as HTMLElement).dataset["scale"]));
    expect(scales).toHaveLength(8);
    expect(new Set(scales).size).toBe(1);
    expect(await page.locator("[data-part]").count()).toBe(19);
    await shot(page, "sheets");
  });

  it("drags a part into another: told at once, written down, undone", async () => {
    const before = jobText();
    await drag("[data-part=peat] .body", 0, 45, false);
    await clashes().getByText(/peat/).first().waitFor({ timeout: 2000 });
    await shot(page, "sheets-clash");
    await page.mouse.up();
    await page.waitForFunction(() => document.querySelector(".clashes")?.getAttribute("data-exact") === "true");
    expect(await clashes().innerText()).toMatch(/peat/);
    expect(jobText()).toMatch(/\[\[placed\]\]\s+piece\s*=\s*"peat"/);
    await undo().click();
    await clashes().getByText("Nothing clashes").waitFor();
    expect(jobText()).toBe(before);
  });

  it("moves by keys: one run of keys is one change", async () => {
    const x = page.getByLabel("X of middle");
    await page.focus("[data-part=limestone]");
    const start = Number(await x.inputValue());
    for (let i = 0; i < 5; ++i) await page.keyboard.press("ArrowRight");
    for (let i = 0; i < 3; ++i) await page.keyboard.press("Shift+ArrowLeft");
    expect(Number(await x.inputValue())).toBeCloseTo(start + 4.7, 2);
    await page.locator("[data-part=limestone].locked").waitFor();
    expect(jobText().match(/\[\[placed\]\]/g)).toHaveLength(1);
    await undo().click();
    await page.locator("[data-part=limestone]:not(.locked)").waitFor();
    expect(Number(await x.inputValue())).toBeCloseTo(start, 2);
  });

  it("turns: half round where the grain says so, by 15° elsewhere", async () => {
    const turned = page.locator(".chosen .field", { hasText: "turned" }).locator("input");
    await page.focus("[data-part=peat]");
    const grainAngle = Number(await turned.inputValue());
    await page.keyboard.press("r");
    expect(Math.abs(Number(await turned.inputValue()) - grainAngle)).toBe(180);
    await page.focus("[data-part=limestone]");
    const free = Number(await turned.inputValue());
    await page.keyboard.press("r");
    const by = Number(await turned.inputValue()) - free;
    expect(((by % 360) + 360) % 360).toBeCloseTo(15, 1);
  });

  it("locks a part and places the rest anew around it", async () => {
    await drag("[data-part=marl] .body", 60, -10);
    await page.locator("[data-part=marl].locked").waitFor();
    const place = async () => /at X \S+ Y \S+ turned \S+/.exec((await page.locator("[data-part=marl]").getAttribute("aria-label"))?.replace(/,/g, "") ?? "")?.[0];
    const where = await place();
    expect(where).toBeDefined();
    await page.getByRole("button", { name: "Place the rest anew" }).click();
    await page.getByText("as a proposal").waitFor({ timeout: 60_000 });
    await clashes().getByText("Nothing clashes").waitFor();
    expect(await place()).toBe(where);
    await shot(page, "sheets-anew");
  });

  it("says that the plan is of an older job, and plans again with the part where it was put", async () => {
    await page.focus("[data-part=limestone]");
    await page.keyboard.press("Alt+ArrowRight");
    await page.getByText("Planned from an older job").waitFor();
    await shot(page, "sheets-old-plan");
    const x = Number(await page.getByLabel("X of middle").inputValue());
    await page.locator(".gate-note").getByRole("button", { name: "Plan again" }).click();
    await page.getByText("Planning anew").waitFor();
    await page.getByText("Planning anew").waitFor({ state: "detached", timeout: 100_000 });
    await page.locator(".gate-note").waitFor({ state: "detached" });
    await page.focus("[data-part=limestone]");
    expect(Number(await page.getByLabel("X of middle").inputValue())).toBeCloseTo(x, 2);
    await clashes().getByText("Nothing clashes").waitFor();
  });

  it("drags a clamp, and takes it back", async () => {
    const before = jobText();
    await clashes().getByText("Nothing clashes").waitFor(); // the page has come to rest
    await drag(".board:has([data-sheet=walnut-a]) .clamp .box >> nth=0", 0, -20);
    await page.waitForFunction(() => document.querySelector(".tools button")?.getAttribute("title")?.includes("clamp 1 of walnut-a"));
    expect(jobText()).not.toBe(before);
    await undo().click();
    await expect.poll(jobText, { timeout: 5000 }).toBe(before);
  });
});

describe("sheets by finger", () => {
  it("drags a part on a tablet, without scrolling the page", async () => {
    ({ page, errors } = await openPlace(browser, served, "sheets", { width: 1024, height: 768, touch: true }));
    await page.locator("[data-part=marl]").waitFor();
    const { x, y } = await middleOf("[data-part=marl] .body");
    const hand = await page.context().newCDPSession(page);
    const touch = (type: "touchStart" | "touchMove" | "touchEnd", dx: number) =>
      hand.send("Input.dispatchTouchEvent", { type, touchPoints: type === "touchEnd" ? [] : [{ x: x + dx, y: y - dx / 4 }] });
    await touch("touchStart", 0);
    for (let dx = 4; dx <= 60; dx += 4) await touch("touchMove", dx);
    await touch("touchEnd", 60);
    await page.locator("[data-part=marl].locked").waitFor();
    expect(jobText()).toMatch(/piece\s*=\s*"marl"/);
    const after = await middleOf("[data-part=marl] .body");
    expect(after.x - x).toBeGreaterThan(50);
  });
});

describe("feeds", () => {
  it("tells at once which limit a changed setting breaks", async () => {
    await open("feeds");
    await page.waitForSelector(".feeds .bars li");
    expect(await page.locator(".bars li.broken").count()).toBe(0);
    expect(await page.locator(".bars li.binding").count()).toBe(1);
    await shot(page, "feeds");
    await page.fill("#feed-vf", "4300");
    await page.locator(".bars li.broken", { hasText: "machine feed" }).waitFor({ timeout: 5000 });
    expect(await page.locator(".outcome").innerText()).toContain("Breaks machine feed");
    await shot(page, "feeds-broken");
    await page.getByRole("button", { name: "As planned" }).click();
    await page.locator(".bars li.broken").waitFor({ state: "detached" });
    await page.getByText("Make a test cut first").waitFor();
  });
});
