import { drawing, job, shop } from "../../api/store";
import type { Drawing, Job, Shop } from "../../model/api";
import { looksOf } from "../../model/look";
import { count } from "../../model/places";
import { SetPicture } from "../../parts/SetPicture";
import type { Camera } from "../../parts/useView";
import { Workbench } from "../../parts/Workbench";
import { Bench } from "./Bench";
import { chosen } from "./chosen";
import { DropPlace, useDrop } from "./Drop";
import "./drawing.css";

export default function DrawingPlace() {
  const over = useDrop();
  const [nowJob, nowDrawing, nowShop] = [job.value, drawing.value, shop.value];
  return (
    <div class={`drawing-place${over ? " over" : ""}`}>
      {nowJob && nowDrawing && nowShop ? <Set job={nowJob} drawing={nowDrawing} shop={nowShop} /> : <DropPlace />}
      {over && <p class="drop-here">Drop it: a new job begins with this drawing</p>}
    </div>
  );
}

function Set({ job: of, drawing: set, shop: has }: { job: Job; drawing: Drawing; shop: Shop }) {
  const looks = looksOf(has.materials);
  const pieces = set.regions.map((region) => {
    const material = of.materials[region.name] ?? "";
    return { id: region.name, parts: region.parts, look: looks.get(material), about: material };
  });
  return (
    <Workbench name="drawing" benchName="Chosen regions" height={264} bench={<Bench job={of} drawing={set} shop={has} looks={looks} />}>
      <h1 class="visually-hidden">Drawing: {of.title}</h1>
      <SetPicture
        name="Regions of the drawing"
        width={set.width}
        height={set.height}
        pieces={pieces}
        chosen={chosen.value}
        onChoose={(ids) => (chosen.value = ids)}
        overlay={(camera) => <Marks drawing={set} camera={camera} />}
      />
      <p class="caption">
        {of.title} · {set.width.toFixed(1)} × {set.height.toFixed(1)} mm · {count(set.regions.length, "region")}{set.notes.length === 0 ? " · no faults" : ""}
      </p>
    </Workbench>
  );
}

/** Faults of the drawing where they are, numbered as in the list. */
function Marks({ drawing: set, camera }: { drawing: Drawing; camera: Camera }) {
  const pixel = 1 / camera.scale;
  return (
    <g class="fault-marks" aria-hidden="true">
      {set.notes.map((note, i) => (
        <g key={i} transform={`translate(${note.at[0]} ${set.height - note.at[1]}) scale(${pixel})`}>
          <circle r={11} />
          <text dy={4.5}>{i + 1}</text>
        </g>
      ))}
    </g>
  );
}
