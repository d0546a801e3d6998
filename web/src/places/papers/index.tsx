// Papers: what is carried to the machine and to the customer, to see, to print and to take along.
import { signal } from "@preact/signals";
import { blob } from "../../api/client";
import { fail } from "../../api/store";
import type { Plan } from "../../model/api";
import { sheetsOfPaper, type Paper } from "../../model/papers";
import { PlanGate } from "../plan/PlanGate";
import { Cautions } from "./Cautions";
import { Price } from "./Price";
import { Programs } from "./Programs";
import { Viewer } from "./Viewer";
import { save } from "./save";
import "./papers.css";

/** The paper that is shown; kept between visits. */
const shown = signal("papers/job.pdf");

export default function Papers() {
  return <PlanGate what="the papers for the machine, the programs, and the price">{(plan) => <Work plan={plan} />}</PlanGate>;
}

function Work({ plan }: { plan: Plan }) {
  const papers = sheetsOfPaper(plan);
  const paper = papers.find((p) => p.path === shown.value) ?? papers[0];
  return (
    <div class="papers">
      <aside class="list" aria-label="What there is">
        <Take title={plan.title} />
        <Chooser title="Papers" papers={papers.filter((p) => p.kind === "paper")} chosen={paper?.path ?? ""} />
        <Programs plan={plan} />
        <Chooser title="Pictures" papers={papers.filter((p) => p.kind === "picture")} chosen={paper?.path ?? ""} />
      </aside>
      {paper && <Viewer paper={paper} />}
      <aside class="beside" aria-label="Price and cautions" tabIndex={0}>
        <Price price={plan.price} />
        <Cautions notes={plan.notes} />
      </aside>
    </div>
  );
}

function Take({ title }: { title: string }) {
  const all = async () => {
    try {
      save(await blob("/api/files.zip"), `${title || "job"}.zip`);
    } catch (error) {
      fail(error);
    }
  };
  return (
    <p class="take">
      <button type="button" class="main" onClick={() => void all()}>
        ↓ Everything as one zip
      </button>
      <span class="quiet">programs, papers, pictures, plan and proof</span>
    </p>
  );
}

interface ChooserProps {
  title: string;
  papers: Paper[];
  chosen: string;
}

function Chooser({ title, papers, chosen }: ChooserProps) {
  return (
    <nav aria-label={title}>
      <h2>{title}</h2>
      <ul>
        {papers.map((p) => (
          <li key={p.path}>
            <button type="button" aria-pressed={p.path === chosen} onClick={() => (shown.value = p.path)}>
              {p.title} <span class="quiet">{p.what}</span>
            </button>
          </li>
        ))}
      </ul>
    </nav>
  );
}
