// The price with its range, and what it is made of.
import type { Plan, PriceLine } from "../../model/api";
import { money } from "../../model/times";

type PriceOfPlan = Plan["price"];

export function Price({ price }: { price: PriceOfPlan }) {
  const { low, likely, high, currency } = price;
  const most = Math.max(high, 1e-9);
  return (
    <section class="price" aria-label="Price">
      <h2>Price</h2>
      <p class="likely">{money(likely, currency)}</p>
      <Range line={{ what: "price", low, likely, high }} from={0} to={most} />
      <p class="quiet">
        between {money(low, currency)} and {money(high, currency)}
      </p>
      <table>
        <caption class="visually-hidden">What the price is made of; low, likely and high</caption>
        <tbody>
          {price.lines.map((line) => (
            <tr key={line.what}>
              <th scope="row">
                {line.what}
                <Range line={line} from={0} to={most} />
              </th>
              <td>
                {money(line.likely, currency)}
                <span class="quiet">
                  {line.low.toFixed(0)} to {line.high.toFixed(0)}
                </span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p class="quiet">A computed range, not an offer. Check prices of sheets and your own hours before it goes out.</p>
    </section>
  );
}

function Range({ line, from, to }: { line: PriceLine; from: number; to: number }) {
  const at = (v: number) => ((v - from) / (to - from)) * 100;
  return (
    <svg class="range" viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true">
      <line class="rail" x1="0" x2="100" y1="6" y2="6" />
      <rect class="span" x={at(line.low)} width={Math.max(0.6, at(line.high) - at(line.low))} y="3" height="3" />
      <rect class="point" x={at(line.likely) - 0.5} width="1" y="0" height="8" />
    </svg>
  );
}
