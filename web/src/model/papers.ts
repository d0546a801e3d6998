// The papers and pictures that a plan comes with.

import type { Plan } from "./api";

export interface Paper {
  readonly path: string;
  readonly title: string;
  readonly what: string;
  readonly kind: "paper" | "picture";
}

/** File names are made of a setup's name by the engine; what it writes is letters, digits, "-" and "_". */
export function sheetsOfPaper(plan: Pick<Plan, "setups">): Paper[] {
  return [
    { path: "papers/job.pdf", title: "For the machine", what: "job.pdf", kind: "paper" },
    { path: "papers/quote.pdf", title: "For the customer", what: "quote.pdf", kind: "paper" },
    { path: "pictures/set.svg", title: "The set", what: "as it will lie", kind: "picture" },
    { path: "pictures/seams.svg", title: "The seams", what: "gap by gap", kind: "picture" },
    ...plan.setups.map((setup): Paper => ({
      path: `pictures/setup-${setup.name}.svg`,
      title: setup.name,
      what: setup.shelf.material,
      kind: "picture",
    })),
  ];
}
