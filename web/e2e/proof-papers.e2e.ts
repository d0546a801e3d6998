// A seeded fault found, its moment, place and line; the papers shown and taken along; the page fit for everybody.
import { readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { copyOf, exampleJob, openBrowser, openPlace, seedFault, serve, shot, type Opening, type Served } from "./support";
import { namesInZip } from "./zip";

const faulty = "01-walnut-a-flat-6.nc";
let planned: string;
let browser: Browser;
let sound: Served;
let seeded: Served;
let faultLine: number;
let page: Page;
let errors: string[] = [];

beforeAll(async () => {
  planned = exampleJob();
  browser = await openBrowser();
  sound = await serve(copyOf(planned));
  const copy = copyOf(planned);
  faultLine = seedFault(copy, faulty);
  seeded = await serve(copy);
}, 180_000);
afterAll(async () => {
  await browser?.close();
  sound?.stop();
  seeded?.stop();
  rmSync(planned, { recursive: true, force: true });
});
afterEach(async () => {
  await page?.context().close();
  expect(errors).toEqual([]);
});

async function open(served: Served, place: string, opening: Opening = {}): Promise<void> {
  ({ page, errors } = await openPlace(browser, served, place, opening));
}

const slider = () => page.getByRole("slider", { name: "Time" });
const now = async () => Number(await slider().getAttribute("aria-valuenow"));
const selectedLine = async () => Number(await page.locator(".line[aria-selected=true]").getAttribute("aria-posinset"));

describe("proof", () => {
  it("leads from a finding to its moment, its place and its line", async () => {
    await open(seeded, "proof");
    await page.locator("[data-verdict=findings]").waitFor();
    const finding = page.locator(".judged li button", { hasText: `line ${faultLine + 1}` }).or(page.locator(".judged li button").first());
    await page.locator(".loads .u-over").first().waitFor();
    await slider().press("End");
    const end = await now();
    await finding.first().click();
    expect(await now()).toBeLessThan(end);
    const line = await selectedLine();
    expect(Math.abs(line - faultLine)).toBeLessThanOrEqual(2);
    expect(await page.locator(".line[aria-selected=true]").getAttribute("class")).toContain("fault");
    await page.locator(".spot.chosen").waitFor();
    await page.waitForTimeout(800);
    await shot(page, "proof-finding");
  });

  it("scrubs by mouse and by key, and the stock is drawn anew", async () => {
    await open(sound, "proof");
    await page.locator("[data-verdict=proven]").waitFor();
    await page.getByRole("button", { name: /^plate/ }).click();
    await page.waitForSelector(".solid canvas");
    await page.locator(".loads .u-over").first().waitFor();
    await page.waitForTimeout(1500);
    const picture = () => page.locator(".solid canvas").evaluate((c) => (c as HTMLCanvasElement).toDataURL());
    const cut = await picture();
    await shot(page, "proof");
    await slider().press("Home");
    expect(await now()).toBe(0);
    await expect.poll(async () => (await picture()) !== cut, { timeout: 10_000 }).toBe(true);
    await slider().press("ArrowRight");
    await slider().press("ArrowRight");
    expect(await now()).toBe(2);
    const box = await slider().boundingBox();
    if (!box) throw new Error("no slider");
    await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
    const total = Number(await slider().getAttribute("aria-valuemax"));
    expect(Math.abs((await now()) / total - 0.5)).toBeLessThan(0.06);
  });

  it("leads from a line of the program to its moment", async () => {
    await open(sound, "proof");
    await page.locator(".line").first().waitFor();
    await slider().press("End");
    const end = await now();
    await page.locator(".lines").evaluate((e) => (e.scrollTop = 0));
    await page.locator(".line[aria-posinset='30']").click();
    await expect.poll(selectedLine).toBe(30);
    expect(await now()).toBeLessThan(end / 2);
    await page.keyboard.press("Tab");
    await page.locator(".lines").press("ArrowDown");
    await expect.poll(selectedLine).toBeGreaterThan(30);
  });

  it("plays, and stops by itself", async () => {
    await open(sound, "proof");
    await page.locator(".loads .u-over").first().waitFor();
    await slider().press("Home");
    await page.getByLabel("speed").selectOption("256");
    await page.getByRole("button", { name: "Play" }).click();
    await expect.poll(async () => (await now()) === Number(await slider().getAttribute("aria-valuemax")), { timeout: 20_000 }).toBe(true);
    await page.getByRole("button", { name: "Play" }).waitFor();
  });

  it("is flat from above where there is no WebGL 2", async () => {
    const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
    await context.addInitScript(() => {
      const original = HTMLCanvasElement.prototype.getContext;
      HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, kind: string, ...rest: unknown[]) {
        return kind === "2d" ? (original.call(this, kind, ...rest) as RenderingContext | null) : null;
      } as typeof original;
    });
    page = await context.newPage();
    await page.goto(sound.address);
    await page.evaluate(() => (location.hash = "/proof"));
    await page.locator("canvas.flat").waitFor();
    await page.waitForTimeout(1500);
    const colours = await page.locator("canvas.flat").evaluate((c) => {
      const canvas = c as HTMLCanvasElement;
      const { data } = canvas.getContext("2d")!.getImageData(0, 0, canvas.width, canvas.height);
      return new Set(Array.from({ length: 4000 }, (_, i) => data[4 * Math.floor((i * data.length) / 16000)])).size;
    });
    expect(colours).toBeGreaterThan(5);
    await shot(page, "proof-flat");
  });
});

describe("papers", () => {
  it("shows the PDF, and a picture", async () => {
    await open(sound, "papers");
    const frame = page.locator(".viewer iframe");
    await frame.waitFor();
    expect(await frame.getAttribute("src")).toMatch(/^blob:/);
    await page.waitForTimeout(2500);
    await shot(page, "papers");
    await page.getByRole("button", { name: /^plate/ }).click();
    await page.locator(".viewer img").waitFor();
    await expect.poll(() => page.locator(".viewer img").evaluate((i) => (i as HTMLImageElement).naturalWidth)).toBeGreaterThan(100);
  });

  it("gives everything as one zip, and a program by itself", async () => {
    await open(sound, "papers");
    const [zip] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: /one zip/ }).click()]);
    const names = namesInZip(readFileSync(await zip.path()));
    expect(zip.suggestedFilename()).toBe("Skerry island tray.zip");
    for (const name of [`programs/${faulty}`, "papers/job.pdf", "papers/quote.pdf"])
      expect(names.filter((n) => n.endsWith(name))).toHaveLength(1);
    const [program] = await Promise.all([page.waitForEvent("download"), page.locator(".programs button").first().click()]);
    expect(readFileSync(await program.path(), "utf8")).toContain("G21");
  });
});

describe("for everybody", () => {
  const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
  for (const dark of [false, true])
    for (const place of ["sheets", "feeds", "proof", "papers"])
      it(`axe finds nothing in ${place}, ${dark ? "dark" : "light"}`, async () => {
        await open(seeded, place, { dark, bypassCsp: true });
        await page.waitForSelector(`.${place}`);
        await page.waitForTimeout(1500);
        await page.evaluate(axe);
        const found = await page.evaluate(async () => {
          const { axe } = window as unknown as { axe: { run: (on: Document) => Promise<{ violations: { id: string; nodes: { html: string }[] }[] }> } };
          return (await axe.run(document)).violations.map((v) => `${v.id}: ${v.nodes[0]?.html.slice(0, 120)}`);
        });
        expect(found).toEqual([]);
        if (dark) await shot(page, `${place}-dark`);
      });

  for (const place of ["sheets", "feeds", "proof", "papers"])
    it(`fingers find what they need in ${place} on a 10-inch tablet`, async () => {
      await open(seeded, place, { width: 1024, height: 768, touch: true });
      await page.waitForSelector(`.${place}`);
      await page.waitForTimeout(1500);
      const small = await page.locator("main :is(button, select, input:not([type=checkbox]), summary, a.button):visible").evaluateAll((list) =>
        list.filter((e) => e.getBoundingClientRect().height < 43.5).map((e) => `${e.outerHTML.slice(0, 90)} ${e.getBoundingClientRect().height}`),
      );
      expect(small).toEqual([]);
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(1024);
      await shot(page, `${place}-tablet`);
    });
});
