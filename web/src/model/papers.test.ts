import { describe, expect, it } from "vitest";
import type { Setup } from "./api";
import { sheetsOfPaper } from "./papers";

describe("papers", () => {
  it("are both papers, the set's pictures and one picture for each setup", () => {
    const setup = { name: "oak-a", shelf: { material: "oak" } } as Setup;
    const papers = sheetsOfPaper({ setups: [setup] });
    expect(papers.filter((p) => p.kind === "paper").map((p) => p.path)).toEqual(["papers/job.pdf", "papers/quote.pdf"]);
    expect(papers.at(-1)).toMatchObject({ path: "pictures/setup-oak-a.svg", title: "oak-a", what: "oak" });
  });
});
