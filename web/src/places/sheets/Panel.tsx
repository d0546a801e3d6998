// Beside the bench: what is chosen with its figures, what clashes, and what can be done with the whole.
import { signal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { edit, job, plan } from "../../api/store";
import { rotated } from "../../math/placement";
import { allowedAngles, pivotOnSheet } from "../../model/boards";
import { clashText } from "../../model/clashes";
import { resizeClamp } from "../../model/layoutEdits";
import { dropClamp, freeAll, lockAll, lyingOf, nudge, placeAnew, toggleLock, turnOn, turnTo } from "./changes";
import { arrangement, chosen, clashes, hasGrain, judged, lying, movingClamp, proposal, serial, shapes, sheets } from "./table";

export function Panel() {
  const what = chosen.value;
  return (
    <aside class="panel" aria-label="Chosen, clashes, all parts">
      <Clashes />
      {what?.kind === "part" ? <PartPanel id={what.id} /> : what?.kind === "clamp" ? <ClampPanel sheet={what.sheet} index={what.index} /> : <p class="quiet hint">Choose a part or a clamp: press it, or move with Tab.</p>}
      <Whole />
      <Keys />
    </aside>
  );
}

function Clashes() {
  const list = clashes.value;
  const exact = judged.value.of === arrangement.value;
  return (
    <section class={list.length > 0 ? "clashes finding" : "clashes"} aria-label="Clashes" role="status" data-exact={exact}>
      {list.length === 0 ? (
        <p>
          <b>✓ Nothing clashes</b>
        </p>
      ) : (
        <>
          <h2>
            ! {list.length} clash{list.length === 1 ? "" : "es"}
          </h2>
          <ul>
            {list.slice(0, 12).map((clash, i) => (
              <li key={i}>
                <button type="button" onClick={() => (chosen.value = { kind: "part", id: clash.a })}>
                  {clashText(clash)}
                </button>
              </li>
            ))}
          </ul>
          {list.length > 12 && <p class="quiet">and {list.length - 12} more</p>}
        </>
      )}
    </section>
  );
}

interface NumberProps {
  name: string;
  unit: string;
  value: number;
  step: number;
  decimals?: number;
  disabled?: boolean;
  onChange: (value: number) => void;
}

function NumberField({ name, unit, value, step, decimals = 2, disabled, onChange }: NumberProps) {
  return (
    <label class="field">
      <span>{name}</span>
      <input
        type="number"
        step={step}
        value={Number(value.toFixed(decimals))}
        disabled={disabled}
        onChange={(event) => {
          const v = Number(event.currentTarget.value);
          if (event.currentTarget.value.trim() !== "" && Number.isFinite(v)) onChange(v);
        }}
      />
      <span class="quiet">{unit}</span>
    </label>
  );
}

function PartPanel({ id }: { id: string }) {
  const one = lyingOf(id);
  const part = shapes.value.get(id);
  const sheet = sheets.value.find((s) => s.name === one?.sheet);
  if (!one || !part || !sheet) return null;
  const [x, y] = pivotOnSheet(part, one.placement);
  const toMiddle = (mx: number, my: number) => {
    const [px, py] = rotated(part.pivot, one.placement.angle);
    nudge(id, { ...one.placement, x: mx - px, y: my - py }, "Move");
  };
  const along = allowedAngles(hasGrain(part.material), sheet);
  return (
    <section class="chosen" aria-label={`Part ${id}`}>
      <h2>{id}</h2>
      <p class="quiet">
        {part.material} on {one.sheet}
      </p>
      <div class="fields">
        <NumberField name="X of middle" unit="mm" value={x} step={1} onChange={(v) => toMiddle(v, y)} />
        <NumberField name="Y of middle" unit="mm" value={y} step={1} onChange={(v) => toMiddle(x, v)} />
        <NumberField name="turned" unit="°" value={one.placement.angle} step={along ? 180 : 15} onChange={(v) => turnTo(id, v)} />
      </div>
      {along && <p class="quiet">Its grain lies along the sheet's: {along.map((a) => `${a}°`).join(" or ")} only.</p>}
      <p class="actions">
        <button type="button" onClick={() => turnOn(id, 15)}>
          {along ? "Turn half round" : "Turn 15°"}
        </button>
        <button type="button" aria-pressed={one.locked} onClick={() => void toggleLock(id)}>
          {one.locked ? "Free" : "Lock here"}
        </button>
      </p>
      <Held id={id} margin={part.margin} cutter={part.cutter} kerf={part.kerf} area={part.area} />
    </section>
  );
}

interface HeldProps {
  id: string;
  margin: number;
  cutter: string;
  kerf: number;
  area: number;
}

function Held({ id, margin, cutter, kerf, area }: HeldProps) {
  const piece = plan.value?.pieces.find((p) => p.id === id);
  const lasts = margin >= 1;
  return (
    <dl>
      <dt>held</dt>
      <dd class={lasts ? "" : "rust"}>
        {lasts ? "" : "! "}×{margin.toFixed(2)} <span class="quiet">the largest force on it, as planned</span>
      </dd>
      {piece && piece.skin > 0 && (
        <>
          <dt>skin left below</dt>
          <dd>{piece.skin.toFixed(2)} mm</dd>
        </>
      )}
      {piece && piece.tabs.length > 0 && (
        <>
          <dt>tabs</dt>
          <dd>{piece.tabs.length}</dd>
        </>
      )}
      <dt>cutter</dt>
      <dd>
        {cutter} <span class="quiet">takes {kerf.toFixed(1)} mm around it</span>
      </dd>
      <dt>area</dt>
      <dd>{(area / 100).toFixed(1)} cm²</dd>
    </dl>
  );
}

function ClampPanel({ sheet, index }: { sheet: string; index: number }) {
  const clamp = sheets.value.find((s) => s.name === sheet)?.clamps[index];
  if (!clamp) return null;
  const move = (at: [number, number]) => {
    movingClamp.value = { sheet, index, at };
    void dropClamp();
  };
  const resize = (size: [number, number], height: number) => {
    const at = job.value?.sheets.findIndex((s) => s.name === sheet) ?? -1;
    const change = resizeClamp(at, index, size, height, sheet);
    void edit(change.label, () => change.edits);
  };
  const [x, y] = clamp.at;
  const [w, h] = clamp.size;
  return (
    <section class="chosen" aria-label={`Clamp ${index + 1} of ${sheet}`}>
      <h2>
        clamp {index + 1} <span class="quiet">of {sheet}</span>
      </h2>
      <div class="fields">
        <NumberField name="X of corner" unit="mm" value={x} step={1} onChange={(v) => move([v, y])} />
        <NumberField name="Y of corner" unit="mm" value={y} step={1} onChange={(v) => move([x, v])} />
        <NumberField name="width" unit="mm" value={w} step={1} onChange={(v) => v > 0 && resize([v, h], clamp.height)} />
        <NumberField name="depth" unit="mm" value={h} step={1} onChange={(v) => v > 0 && resize([w, v], clamp.height)} />
        <NumberField name="height" unit="mm" value={clamp.height} step={1} onChange={(v) => v > 0 && resize([w, h], v)} />
      </div>
      <p class="quiet">Height above the sheet's top face: what the nut and the spindle must clear.</p>
    </section>
  );
}

const placing = signal(false);

function Whole() {
  const locked = lying.value.filter((l) => l.locked).length;
  const proposed = proposal.value?.serial === serial.value;
  const place = async () => {
    placing.value = true;
    await placeAnew();
    placing.value = false;
  };
  return (
    <section class="whole" aria-label="All parts">
      <h2>All parts</h2>
      <p class="quiet">
        {locked} of {lying.value.length} locked
      </p>
      <p class="actions">
        <button type="button" disabled={placing.value || locked === lying.value.length} onClick={() => void place()}>
          {placing.value ? "Placing …" : "Place the rest anew"}
        </button>
        <button type="button" disabled={locked === lying.value.length} onClick={() => void lockAll()}>
          Lock all
        </button>
        <button type="button" disabled={locked === 0} onClick={() => void freeAll()}>
          Free all
        </button>
      </p>
      {proposed && <p class="note">Free parts lie here as a proposal. Plan makes programs of it; lock what must stay.</p>}
    </section>
  );
}

function Key({ children }: { children: ComponentChildren }) {
  return <kbd>{children}</kbd>;
}

function Keys() {
  return (
    <p class="keys quiet" id="sheets-keys">
      <Key>arrows</Key> move 1 mm, with <Key>Shift</Key> 0.1, with <Key>Alt</Key> 10. <Key>R</Key> turns, <Key>Shift R</Key> turns back
      1°. <Key>L</Key> locks. <Key>Esc</Key> lets go.
    </p>
  );
}
