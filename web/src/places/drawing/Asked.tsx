// What is asked of the whole set: its size, the gaps, the detail, the tray.
import { edit } from "../../api/store";
import type { Drawing, Edit, EditPath, Job, TomlValue } from "../../model/api";
import { ChoiceField, NumberField } from "../../parts/Field";

function set(label: string, path: EditPath, value: TomlValue): void {
  void edit(label, () => [{ path, value }]);
}

export function Asked({ job, drawing }: { job: Job; drawing: Drawing }) {
  const { fit, tray } = job;
  // No width in the job: as drawn.
  const now = job.drawing.width > 0 ? job.drawing.width : Math.round(10 * drawing.width) / 10;
  const width = (value: number | null) => {
    if (value === null) return;
    // A width and a factor exclude each other.
    const edits: Edit[] = [{ path: ["drawing", "width"], value }];
    void edit(`width ${value} mm`, (current) => (/^\s*scale\s*=/m.test(current.text) ? [{ path: ["drawing", "scale"], remove: true }, ...edits] : edits));
  };
  return (
    <div class="asked">
      <h2>Asked for</h2>
      <NumberField label="Finished width" unit="mm" least={1} step={1} value={now} onChange={width} />
      <NumberField label="Gap, pieces" unit="mm" least={0} most={5} step={0.05} value={fit.clearance} onChange={(v) => v !== null && set(`gap ${v} mm`, ["fit", "clearance"], v)} />
      <NumberField label="Gap, tray" unit="mm" least={0} most={10} step={0.05} value={fit.tray_clearance} onChange={(v) => v !== null && set(`gap to the tray ${v} mm`, ["fit", "tray_clearance"], v)} />
      <NumberField label="Detail" unit="mm" least={0} most={5} step={0.05} value={fit.detail} onChange={(v) => v !== null && set(`detail ${v} mm`, ["fit", "detail"], v)} />
      <ChoiceField label="Tray" value={tray?.sheet ?? ""} choices={trayChoices(job)} onChange={(name) => changeTray(job, name)} />
      {tray && (
        <>
          <NumberField label="Rim" unit="mm" least={0} step={1} value={tray.border} onChange={(v) => v !== null && set(`rim ${v} mm`, ["tray", "border"], v)} />
          <NumberField label="Proud (or flush)" unit="mm" optional value={tray.proud} onChange={(v) => set(v === null ? "pieces flush" : `pieces proud by ${v} mm`, ["tray", "top"], v ?? "flush")} />
        </>
      )}
    </div>
  );
}

function trayChoices(job: Job) {
  const names = new Set([...job.sheets.map((sheet) => sheet.name), ...(job.tray ? [job.tray.sheet] : [])]);
  return [{ value: "", text: "no tray" }, ...[...names].map((name) => ({ value: name, text: `from ${name}` }))];
}

function changeTray(job: Job, name: string): void {
  if (name === "") void edit("no tray", () => [{ path: ["tray"], remove: true }]);
  else if (job.tray) set(`tray from ${name}`, ["tray", "sheet"], name);
  else void edit(`tray from ${name}`, () => [{ path: ["tray", "sheet"], value: name }]);
}
