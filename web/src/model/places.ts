// The seven places, in the order of the work, and the short word each carries in the path at the top.
import type { Drawing, Job, Plan, Proof, State } from "./api";

export const places = ["drawing", "seams", "shelf", "sheets", "feeds", "proof", "papers"] as const;
export type PlaceName = (typeof places)[number];

export const placeTitles: Record<PlaceName, string> = {
  drawing: "Drawing",
  seams: "Seams",
  shelf: "Shelf",
  sheets: "Sheets",
  feeds: "Feeds",
  proof: "Proof",
  papers: "Papers",
};

export function placeOf(hash: string): PlaceName {
  const name = hash.replace(/^#\/?/, "");
  return (places as readonly string[]).includes(name) ? (name as PlaceName) : "drawing";
}

export interface Known {
  state: State | null;
  job: Job | null;
  drawing: Drawing | null;
  plan: Plan | null;
  proof: Proof | null;
}

export interface Word {
  text: string;
  /** "open": still to be done; "good": done; "finding": something does not hold; "plain": nothing to say yet. */
  tone: "plain" | "open" | "good" | "finding";
}

const plain = (text: string): Word => ({ text, tone: "plain" });
const open = (text: string): Word => ({ text, tone: "open" });
const good = (text: string): Word => ({ text, tone: "good" });
const finding = (text: string): Word => ({ text, tone: "finding" });

export function count(n: number, one: string, many = one + "s"): string {
  return `${n} ${n === 1 ? one : many}`;
}

/** Regions that have no material yet. */
export function regionsWithoutMaterial(job: Job, drawing: Drawing): string[] {
  return drawing.regions.map((region) => region.name).filter((name) => !job.materials[name]);
}

/** Materials that pieces ask for (the tray's sheet too) and no sheet of the shelf is of. */
export function materialsWithoutSheet(job: Job): string[] {
  const have = new Set(job.sheets.map((sheet) => sheet.material));
  return [...new Set(Object.values(job.materials))].filter((name) => name !== "" && !have.has(name)).sort();
}

function drawingWord({ job, drawing }: Known): Word {
  if (job === null) return open("no drawing yet");
  if (drawing === null) return finding("cannot be read");
  const bare = regionsWithoutMaterial(job, drawing).length;
  if (bare > 0) return open(`${bare} without material`);
  return good(count(drawing.regions.length, "region"));
}

function seamsWord({ plan }: Known): Word {
  if (plan === null) return plain("not planned");
  if (!plan.assembly.goes_together) return finding("does not go together");
  return good(`slack ${plan.assembly.slack.toFixed(2)} mm`);
}

function shelfWord({ job }: Known): Word {
  if (job === null) return plain("empty");
  const missing = materialsWithoutSheet(job).length;
  if (missing > 0) return open(`${count(missing, "sheet")} missing`);
  return job.sheets.length === 0 ? open("empty") : good(count(job.sheets.length, "sheet"));
}

function sheetsWord({ plan }: Known): Word {
  if (plan === null) return plain("not planned");
  return good(count(plan.pieces.length, "piece"));
}

function feedsWord({ plan }: Known): Word {
  if (plan === null) return plain("not planned");
  const over = plan.feeds.filter((feed) => feed.limits.some((limit) => !limit.holds)).length;
  return over > 0 ? finding(`${over} over a limit`) : good(count(plan.feeds.length, "feed"));
}

function proofWord({ proof }: Known): Word {
  if (proof === null) return plain("not planned");
  return proof.verdict === "proven" ? good("proven") : finding(count(proof.findings.length, "finding"));
}

function papersWord({ plan }: Known): Word {
  if (plan === null) return plain("not planned");
  return good(count(plan.setups.flatMap((setup) => setup.programs).length, "program"));
}

export const placeWord: Record<PlaceName, (known: Known) => Word> = {
  drawing: drawingWord,
  seams: seamsWord,
  shelf: shelfWord,
  sheets: sheetsWord,
  feeds: feedsWord,
  proof: proofWord,
  papers: papersWord,
};
