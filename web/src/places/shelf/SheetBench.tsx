// The chosen sheet: what it is, how it is held, and its thickness where it was measured.
import { edit } from "../../api/store";
import type { Edit, Job, Sheet, Shop, TomlValue } from "../../model/api";
import { setField } from "../../model/shelf";
import { ChoiceField, NumberField, TextField } from "../../parts/Field";
import { Measured } from "./Measured";
import { Outline } from "./Outline";

interface Props {
  job: Job;
  shop: Shop;
  sheet: Sheet;
  index: number;
  onGone: () => void;
}

export function SheetBench({ job, shop, sheet, index, onGone }: Props) {
  const set = (label: string, key: string, value: TomlValue) => void edit(`${sheet.name}: ${label}`, () => [setField(index, key, value)]);
  return (
    <>
      <What job={job} shop={shop} sheet={sheet} index={index} set={set} onGone={onGone} />
      <Holding job={job} shop={shop} sheet={sheet} index={index} set={set} />
      <Measured shop={shop} sheet={sheet} set={set} />
    </>
  );
}

type Set = (label: string, key: string, value: TomlValue) => void;
type PartProps = Omit<Props, "onGone"> & { set: Set };

/** The tray follows the sheet's new name. */
function renamed(job: Job, sheet: Sheet, index: number, name: string): Edit[] {
  const edits: Edit[] = [setField(index, "name", name)];
  if (job.tray?.sheet === sheet.name) edits.push({ path: ["tray", "sheet"], value: name });
  job.placed.forEach((entry, i) => {
    if (entry.sheet === sheet.name) edits.push({ path: ["placed", i, "sheet"], value: name });
  });
  return edits;
}

function What({ job, shop, sheet, index, set, onGone }: PartProps & { onGone: () => void }) {
  const material = shop.materials.find(({ name }) => name === sheet.material);
  const isTray = job.tray?.sheet === sheet.name;
  const remove = () => {
    onGone();
    void edit(`remove ${sheet.name}`, () => [{ path: ["sheet", index], remove: true }]);
  };
  return (
    <div class="sheet-what">
      <h2>{sheet.name}</h2>
      <TextField label="Name" value={sheet.name} onChange={(name) => void edit(`rename ${sheet.name} to ${name}`, (current) => renamed(current, sheet, index, name))} />
      <ChoiceField label="Material" value={sheet.material} choices={shop.materials.map(({ name }) => ({ value: name, text: name }))} onChange={(value) => set(value, "material", value)} />
      <Outline sheet={sheet} index={index} />
      <NumberField label="Thickness" unit="mm" least={0.1} step={0.05} value={sheet.thickness} onChange={(v) => v !== null && set(`${v} mm thick`, "thickness", v)} />
      {material?.grain && <NumberField label="Grain from X" unit="°" step={5} value={sheet.grain} onChange={(v) => v !== null && set(`grain ${v}°`, "grain", v)} />}
      <NumberField
        label="Price"
        optional
        least={0}
        step={0.5}
        value={sheet.price}
        onChange={(v) => (v === null ? void edit(`${sheet.name}: price of the material`, () => [{ path: ["sheet", index, "price"], remove: true }]) : set(`price ${v}`, "price", v))}
      />
      <div class="row">
        {job.tray !== null && !isTray && (
          <button type="button" onClick={() => void edit(`tray from ${sheet.name}`, () => [{ path: ["tray", "sheet"], value: sheet.name }])}>
            Cut the tray from it
          </button>
        )}
        {isTray && <span class="quiet">The tray is cut from it.</span>}
        <button type="button" disabled={isTray} onClick={remove}>
          Remove
        </button>
      </div>
    </div>
  );
}

function Holding({ shop, sheet, index, set }: PartProps) {
  const toggle = (hold: string) => {
    const next = sheet.hold.includes(hold) ? sheet.hold.filter((other) => other !== hold) : [...sheet.hold, hold];
    set(`held by ${next.join(", ") || "nothing"}`, "hold", next);
  };
  const clamps = (label: string, value: Sheet["clamps"]) => set(label, "clamps", value.map((clamp) => ({ at: clamp.at, size: clamp.size, height: clamp.height })));
  const add = () => {
    const size: [number, number] = [12, 40];
    const left = sheet.clamps.length % 2 === 0;
    const at: [number, number] = [left ? 0 : sheet.size[0] - size[0], Math.round(sheet.size[1] / 2 - size[1] / 2)];
    const edits: Edit[] = [setField(index, "clamps", [...sheet.clamps, { at, size, height: 20 }].map((clamp) => ({ ...clamp })))];
    if (!sheet.hold.includes("clamps")) edits.push(setField(index, "hold", [...sheet.hold, "clamps"]));
    void edit(`${sheet.name}: a clamp more`, () => edits);
  };
  return (
    <div class="sheet-holding">
      <h2>Held by</h2>
      <div class="holds">
        {shop.holds.map((hold) => (
          <label key={hold} class="check">
            <input type="checkbox" checked={sheet.hold.includes(hold)} onChange={() => toggle(hold)} />
            {hold}
          </label>
        ))}
      </div>
      <h3>Clamps</h3>
      <ul class="clamps">
        {sheet.clamps.map((clamp, i) => (
          <li key={i}>
            at {clamp.at[0]}, {clamp.at[1]} · {clamp.size[0]} × {clamp.size[1]} · {clamp.height} high
            <button type="button" aria-label={`Remove clamp ${i + 1}`} onClick={() => clamps("a clamp less", sheet.clamps.filter((_, k) => k !== i))}>
              Remove
            </button>
          </li>
        ))}
      </ul>
      <button type="button" onClick={add}>
        Add a clamp
      </button>
      <p class="quiet small">Clamps are dragged to their place under Sheets.</p>
    </div>
  );
}
