import { signal } from "@preact/signals";
import { drawing, edit, job, shop } from "../../api/store";
import type { Drawing, Job, Shop } from "../../model/api";
import { looksOf } from "../../model/look";
import { materialsWithoutSheet } from "../../model/places";
import { addSheet, missingSheets, sheetFor } from "../../model/shelf";
import { Workbench } from "../../parts/Workbench";
import { SheetBench } from "./SheetBench";
import { SheetPicture } from "./SheetPicture";
import "./shelf.css";

const chosen = signal(0);

export default function ShelfPlace() {
  const [of, set, has] = [job.value, drawing.value, shop.value];
  if (!of || !has)
    return (
      <div class="empty">
        <h1>The shelf is empty</h1>
        <p>Everything begins with a drawing of the set.</p>
        <p>
          <a href="#/drawing">Go to the drawing</a>
        </p>
      </div>
    );
  const index = Math.min(chosen.value, of.sheets.length - 1);
  const sheet = of.sheets[index];
  return (
    <Workbench
      name="shelf"
      benchName="Chosen sheet"
      height={264}
      bench={sheet ? <SheetBench key={index} job={of} shop={has} sheet={sheet} index={index} onGone={() => (chosen.value = 0)} /> : <p class="quiet">No sheet yet.</p>}
    >
      <div class="shelf">
        <Head job={of} drawing={set} shop={has} />
        <Board job={of} shop={has} index={index} />
      </div>
    </Workbench>
  );
}

function Head({ job: of, drawing: set, shop: has }: { job: Job; drawing: Drawing | null; shop: Shop }) {
  const missing = materialsWithoutSheet(of);
  const add = (label: string, make: (current: Job, d: Drawing) => ReturnType<typeof missingSheets>) => {
    if (set) void edit(label, (current) => make(current, set).map(addSheet)).then((taken) => taken && (chosen.value = Infinity));
  };
  return (
    <div class="shelf-head">
      <h1>Shelf</h1>
      {missing.length > 0 && (
        <p class="missing">
          Pieces ask for {missing.join(", ")}, and no sheet is of {missing.length === 1 ? "it" : "them"}.{" "}
          <button type="button" class="main" onClick={() => add("add the missing sheets", (current, d) => missingSheets(current, d, has))}>
            Add the missing {missing.length === 1 ? "sheet" : "sheets"}
          </button>
        </p>
      )}
      <label class="field">
        <span>Add a sheet of</span>
        <select
          aria-label="Add a sheet of"
          value=""
          onChange={(event) => {
            const material = event.currentTarget.value;
            if (material) add(`add a sheet of ${material}`, (current, d) => [sheetFor(material, current, d, has)]);
          }}
        >
          <option value="">material …</option>
          {has.materials.map(({ name }) => (
            <option key={name} value={name}>
              {name}
            </option>
          ))}
        </select>
      </label>
    </div>
  );
}

/** All sheets to one scale, lying side by side. */
function Board({ job: of, shop: has, index }: { job: Job; shop: Shop; index: number }) {
  const looks = looksOf(has.materials);
  const widest = Math.max(1, ...of.sheets.map((sheet) => sheet.size[0]));
  const scale = Math.min(0.62, 420 / widest);
  const onKeyDown = (event: KeyboardEvent) => {
    const step = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 }[event.key];
    if (step === undefined) return;
    event.preventDefault();
    const next = Math.min(of.sheets.length - 1, Math.max(0, index + step));
    chosen.value = next;
    (event.currentTarget as HTMLElement).querySelectorAll<HTMLElement>("[data-sheet]")[next]?.focus();
  };
  return (
    <ul class="sheets-row" onKeyDown={onKeyDown}>
      {of.sheets.map((sheet, i) => (
        <li key={sheet.name}>
          <button type="button" class="sheet-card" data-sheet={sheet.name} aria-pressed={i === index} tabIndex={i === index ? 0 : -1} onClick={() => (chosen.value = i)}>
            <SheetPicture sheet={sheet} look={looks.get(sheet.material)} scale={scale} />
            <span class="sheet-name">{sheet.name}</span>
            <span class="quiet">
              {sheet.material} {sheet.size[0]} × {sheet.size[1]} × {sheet.thickness}
              {sheet.offcut ? ", offcut" : ""}
              {of.tray?.sheet === sheet.name ? ", tray" : ""}
            </span>
          </button>
        </li>
      ))}
    </ul>
  );
}
