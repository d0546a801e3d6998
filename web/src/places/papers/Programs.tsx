// Programs in the order in which they are run, with their times.
import { blob, query } from "../../api/client";
import { fail } from "../../api/store";
import type { Plan } from "../../model/api";
import { clock } from "../../model/times";
import { save } from "./save";

async function take(file: string): Promise<void> {
  try {
    save(await blob(`/api/file${query({ path: file })}`), file.replace(/^.*\//, ""));
  } catch (error) {
    fail(error);
  }
}

export function Programs({ plan }: { plan: Plan }) {
  const total = plan.setups.flatMap((s) => s.programs).reduce((sum, p) => sum + p.time, 0);
  return (
    <section class="programs" aria-label="Programs">
      <h2>
        Programs <span class="quiet">{clock(total)} in all</span>
      </h2>
      <ol>
        {plan.setups.map((setup) => (
          <li key={setup.name}>
            <p>
              {setup.name}{" "}
              <span class="quiet">
                {setup.stock.size[0]} × {setup.stock.size[1]}, {setup.shelf.material}
              </span>
            </p>
            {setup.programs.map((program) => (
              <button key={program.file} type="button" title={`Save ${program.file}`} onClick={() => void take(program.file)}>
                <span>↓ {program.cutter}</span>
                <span class="quiet">{Math.round(program.n).toLocaleString("en-GB")}/min</span>
                <span>{clock(program.time)}</span>
              </button>
            ))}
          </li>
        ))}
      </ol>
    </section>
  );
}
