// Thickness where it was measured: point at the sheet, type what the calliper says.
import { useState } from "preact/hooks";
import { css, depthColour } from "../../math/ramp";
import type { Sheet, Shop, TomlValue } from "../../model/api";
import { looksOf } from "../../model/look";
import { NumberField } from "../../parts/Field";
import { SheetPicture, thicknessRange } from "./SheetPicture";

interface Props {
  shop: Shop;
  sheet: Sheet;
  set: (label: string, key: string, value: TomlValue) => void;
}

export function Measured({ shop, sheet, set }: Props) {
  const [at, setAt] = useState<[number, number]>([20, 20]);
  const look = looksOf(shop.materials).get(sheet.material);
  const scale = Math.min(330 / sheet.size[0], 190 / sheet.size[1]);
  const [least, most] = thicknessRange(sheet);
  const add = (thickness: number | null) => {
    if (thickness === null) return;
    set(`measured ${thickness} mm at ${at[0]}, ${at[1]}`, "measured", [...sheet.measured.map((point) => [...point]), [at[0], at[1], thickness]]);
  };
  const remove = (i: number) => set("a measure less", "measured", sheet.measured.filter((_, k) => k !== i).map((point) => [...point]));
  return (
    <div class="sheet-measured">
      <div>
        <h2>Thickness measured</h2>
        <div class="pointing">
          <SheetPicture sheet={sheet} look={look} scale={scale} surface onPoint={(x, y) => setAt([Math.round(x), Math.round(y)])} />
          <svg class="aim" viewBox={`0 0 ${sheet.size[0]} ${sheet.size[1]}`} width={sheet.size[0] * scale} height={sheet.size[1] * scale} aria-hidden="true">
            <path d={`M${at[0] - 9 / scale} ${sheet.size[1] - at[1]}h${18 / scale}M${at[0]} ${sheet.size[1] - at[1] - 9 / scale}v${18 / scale}`} />
          </svg>
        </div>
        {sheet.measured.length > 0 && (
          <p class="surface-legend">
            {least.toFixed(2)} mm
            <span class="ramp" aria-hidden="true">
              {Array.from({ length: 12 }, (_, i) => (
                <i key={i} style={{ background: css(depthColour((0.85 * i) / 11)) }} />
              ))}
            </span>
            {most.toFixed(2)} mm, {(most - least).toFixed(2)} between
          </p>
        )}
      </div>
      <div class="measures">
        <p class="quiet small">Point at the sheet, then type the thickness there.</p>
        <NumberField label="X" unit="mm" least={0} most={sheet.size[0]} step={5} value={at[0]} onChange={(v) => v !== null && setAt([v, at[1]])} />
        <NumberField label="Y" unit="mm" least={0} most={sheet.size[1]} step={5} value={at[1]} onChange={(v) => v !== null && setAt([at[0], v])} />
        <NumberField key={`${at.join()} ${sheet.measured.length}`} label="Thickness there" unit="mm" optional least={0.1} value={null} onChange={add} />
        <ul>
          {sheet.measured.map(([x, y, t], i) => (
            <li key={i}>
              {t.toFixed(2)} at {x}, {y}
              <button type="button" aria-label={`Remove the measure at ${x}, ${y}`} onClick={() => remove(i)}>
                Remove
              </button>
            </li>
          ))}
        </ul>
      </div>
    </div>
  );
}
