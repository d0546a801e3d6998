// A bought sheet has a size, an offcut an outline: its corners, as text.
import { useEffect, useState } from "preact/hooks";
import { edit } from "../../api/store";
import type { Point, Sheet } from "../../model/api";
import { corners, cornersText } from "../../model/corners";
import { NumberField } from "../../parts/Field";

export function Outline({ sheet, index }: { sheet: Sheet; index: number }) {
  const size = (value: Point) => void edit(`${sheet.name}: ${value[0]} × ${value[1]} mm`, () => [{ path: ["sheet", index, "size"], value }]);
  const toOffcut = () =>
    void edit(`${sheet.name}: an offcut`, () => [
      { path: ["sheet", index, "size"], remove: true },
      { path: ["sheet", index, "outline"], value: sheet.outline[0] ?? [] },
    ]);
  if (!sheet.offcut)
    return (
      <>
        <NumberField label="Length along X" unit="mm" least={1} step={10} value={sheet.size[0]} onChange={(v) => v !== null && size([v, sheet.size[1]])} />
        <NumberField label="Length along Y" unit="mm" least={1} step={10} value={sheet.size[1]} onChange={(v) => v !== null && size([sheet.size[0], v])} />
        <button type="button" class="plain link" onClick={toOffcut}>
          It is an offcut with corners of its own
        </button>
      </>
    );
  return <Corners sheet={sheet} index={index} />;
}

function Corners({ sheet, index }: { sheet: Sheet; index: number }) {
  const now = cornersText(sheet.outline[0] ?? []);
  const [text, setText] = useState(now);
  const [wrong, setWrong] = useState(false);
  useEffect(() => setText(now), [now]);
  const write = () => {
    const ring = corners(text);
    setWrong(ring === null);
    if (ring !== null && cornersText(ring) !== now) void edit(`${sheet.name}: outline`, () => [{ path: ["sheet", index, "outline"], value: ring }]);
  };
  return (
    <label class="field corners">
      <span>Corners, mm</span>
      <textarea rows={2} aria-invalid={wrong} value={text} onInput={(event) => setText(event.currentTarget.value)} onBlur={write} />
    </label>
  );
}
