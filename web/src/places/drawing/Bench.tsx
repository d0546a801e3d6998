import type { Drawing, Job, Shop } from "../../model/api";
import { byFill, byMaterial, byPattern, fillsOf } from "../../model/choose";
import type { Look } from "../../model/look";
import { count } from "../../model/places";
import { useState } from "preact/hooks";
import { chosen } from "./chosen";
import { ChooseFile } from "./Drop";
import { Materials } from "./Materials";
import { Asked } from "./Asked";

interface Props {
  job: Job;
  drawing: Drawing;
  shop: Shop;
  looks: Map<string, Look>;
}

export function Bench({ job, drawing, shop, looks }: Props) {
  return (
    <>
      <Choosing job={job} drawing={drawing} />
      <Materials job={job} shop={shop} looks={looks} chosen={chosen.value} />
      <Asked job={job} drawing={drawing} />
      <Faults drawing={drawing} />
    </>
  );
}

function Choosing({ job, drawing }: { job: Job; drawing: Drawing }) {
  const [pattern, setPattern] = useState("");
  const regions = drawing.regions;
  const picked = chosen.value;
  const area = regions.filter((region) => picked.includes(region.name)).reduce((sum, region) => sum + region.area, 0);
  const choose = (names: string[]) => (chosen.value = names);
  const used = [...new Set(Object.values(job.materials))].sort();
  return (
    <div class="choosing">
      <h2 aria-live="polite">
        {picked.length === 0 ? "Nothing chosen" : picked.length === 1 ? picked[0] : `${count(picked.length, "region")} chosen`}
        {picked.length > 0 && <span class="quiet"> {(area / 100).toFixed(1)} cm²</span>}
      </h2>
      <div class="row">
        <button type="button" onClick={() => choose(regions.map((region) => region.name))}>
          All
        </button>
        <button type="button" disabled={picked.length === 0} onClick={() => choose([])}>
          None
        </button>
        <input
          type="text"
          size={12}
          placeholder="by name: tuff-*"
          aria-label="Choose by name or pattern"
          value={pattern}
          onInput={(event) => {
            setPattern(event.currentTarget.value);
            if (event.currentTarget.value.trim() !== "") choose(byPattern(regions, event.currentTarget.value));
          }}
        />
      </div>
      <div class="row swatches" role="group" aria-label="Choose by colour of the drawing">
        {fillsOf(regions).map((fill) => {
          const names = byFill(regions, fill);
          return (
            <button key={fill} type="button" class="swatch" aria-label={`Colour ${fill}: ${names.join(", ")}`} title={names.join(", ")} onClick={() => choose(names)}>
              <span style={{ background: fill }} />
            </button>
          );
        })}
      </div>
      <div class="row">
        <select aria-label="Choose all of a material" value="" onChange={(event) => choose(byMaterial(job, event.currentTarget.value))}>
          <option value="">all of a material …</option>
          {used.map((material) => (
            <option key={material} value={material}>
              {material} ({byMaterial(job, material).length})
            </option>
          ))}
        </select>
        <ChooseFile text="New drawing" />
      </div>
    </div>
  );
}

function Faults({ drawing }: { drawing: Drawing }) {
  if (drawing.notes.length === 0) return null;
  return (
    <div class="faults">
      <h2>{count(drawing.notes.length, "note")} on the drawing</h2>
      <ol>
        {drawing.notes.map((note, i) => (
          <li key={i}>
            <button type="button" class="plain" onClick={() => (chosen.value = note.regions.filter((name) => drawing.regions.some((region) => region.name === name)))}>
              <span class="fault-number">{i + 1}</span>
              {note.text}
            </button>
          </li>
        ))}
      </ol>
    </div>
  );
}
