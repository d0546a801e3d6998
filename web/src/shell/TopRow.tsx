import { drawing, job, plan, proof, state } from "../api/store";
import { placeTitles, places, placeWord } from "../model/places";
import { place } from "./route";
import { Tools } from "./Tools";

export function TopRow() {
  return (
    <header class="top">
      <nav class="path" aria-label="Places, in the order of the work">
        <ol>
          {places.map((name, index) => (
            <Step key={name} name={name} number={index + 1} />
          ))}
        </ol>
      </nav>
      <Tools />
    </header>
  );
}

const signs = { plain: "", open: "○ ", good: "✓ ", finding: "! " } as const;

function Step({ name, number }: { name: (typeof places)[number]; number: number }) {
  const known = { state: state.value, job: job.value, drawing: drawing.value, plan: plan.value, proof: proof.value };
  const word = placeWord[name](known);
  return (
    <li class={word.tone}>
      <a href={`#/${name}`} aria-current={place.value === name ? "page" : undefined}>
        <span class="number" aria-hidden="true">
          {number}
        </span>
        <span class="name">{placeTitles[name]}</span>
        <span class={`word ${word.tone}`}>
          <span aria-hidden="true">{signs[word.tone]}</span>
          {word.text}
        </span>
      </a>
    </li>
  );
}
