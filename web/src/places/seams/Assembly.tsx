import type { Plan } from "../../model/api";

export function Assembly({ plan, chosen, onChoose }: { plan: Plan; chosen: string; onChoose: (id: string) => void }) {
  const { assembly } = plan;
  const percent = (share: number) => `${(100 * share).toFixed(share > 0.995 || share < 0.005 ? 0 : 1)} %`;
  return (
    <div class="assembly">
      <h2 class={assembly.goes_together ? undefined : "bad"}>{assembly.goes_together ? "The set goes together" : "The set does not go together"}</h2>
      <dl>
        <dt>Slack</dt>
        <dd>{assembly.slack.toFixed(3)} mm</dd>
        <dt>Chance</dt>
        <dd>
          {percent(assembly.chance)}{" "}
          <span class="quiet">
            {percent(assembly.chance_low)} to {percent(assembly.chance_high)}
          </span>
        </dd>
        {assembly.customer && (
          <>
            <dt>At customer's</dt>
            <dd>{percent(assembly.customer.chance)}</dd>
          </>
        )}
        <dt>Tried</dt>
        <dd>
          {assembly.samples} times <span class="quiet">seed {assembly.seed}</span>
        </dd>
      </dl>
      {assembly.tight.length > 0 && (
        <>
          <h3>Tightest seams</h3>
          <ul class="tight">
            {assembly.tight.map((id) => (
              <li key={id}>
                <button type="button" class="plain" aria-pressed={id === chosen} onClick={() => onChoose(id)}>
                  {id}
                </button>
              </li>
            ))}
          </ul>
        </>
      )}
    </div>
  );
}
