import { computed, signal } from "@preact/signals";
import { drawing, plan, shop } from "../../api/store";
import { roundScale } from "../../math/gapColour";
import type { Drawing, Plan, Shop } from "../../model/api";
import { looksOf } from "../../model/look";
import { seamLines, sortedSeams, type SeamColumn, type SeamLine } from "../../model/seamLines";
import { SetPicture } from "../../parts/SetPicture";
import { Workbench } from "../../parts/Workbench";
import { PlanGate } from "../plan/PlanGate";
import { Assembly } from "./Assembly";
import { CutterTable } from "./CutterTable";
import { GapLegend } from "./GapLegend";
import { Magnified } from "./Magnified";
import { SeamOverlay } from "./SeamOverlay";
import { SeamTable } from "./SeamTable";
import { along } from "./walk";
import "./seams.css";

const chosenId = signal("");
const chosenPieces = signal<string[]>([]);
const order = signal<{ by: SeamColumn; falling: boolean }>({ by: "error", falling: true });

const lines = computed<SeamLine[]>(() => (plan.value && drawing.value ? seamLines(plan.value, drawing.value) : []));
const pictured = computed(() => plan.value?.pieces.map((piece) => ({ id: piece.id, parts: [piece.as_cut], about: piece.material })) ?? []);

export default function SeamsPlace() {
  return <PlanGate what="each seam's gap, and whether the set goes together">{(of) => <Ready plan={of} drawing={drawing.value} shop={shop.value} />}</PlanGate>;
}

function choose(id: string): void {
  chosenId.value = id;
  along.value = 0.5;
}

function Ready({ plan: of, drawing: set, shop: has }: { plan: Plan; drawing: Drawing | null; shop: Shop | null }) {
  if (!set || !has) return <p class="quiet">Reading the drawing …</p>;
  const looks = looksOf(has.materials);
  const full = roundScale(lines.value.map((line) => line.error));
  const picked = chosenPieces.value;
  const shown = sortedSeams(lines.value, order.value.by, order.value.falling).filter(
    ({ seam }) => picked.length === 0 || picked.includes(seam.a) || picked.includes(seam.b),
  );
  const chosen = lines.value.find((line) => line.id === chosenId.value) ?? shown[0];
  const bench = (
    <>
      <SeamTable seams={shown} all={lines.value.length} chosen={chosen?.id ?? ""} order={order.value} full={full} onChoose={choose} onOrder={(next) => (order.value = next)} />
      {chosen && <Magnified line={chosen} plan={of} full={full} />}
      <CutterTable serial={`${of.title} ${of.seams.length}`} />
    </>
  );
  return (
    <Workbench name="seams" kind="seams-bench" benchName="Seams and the chosen one" height={328} bench={bench}>
      <h1 class="visually-hidden">Seams</h1>
      <SetPicture
        name="Pieces: choosing one lists its seams"
        width={set.width}
        height={set.height}
        pieces={pictured.value.map((piece) => ({ ...piece, look: looks.get(piece.about) }))}
        chosen={chosenPieces.value}
        onChoose={(ids) => (chosenPieces.value = ids)}
        quiet
        overlay={(camera) => <SeamOverlay seams={lines.value} height={set.height} camera={camera} full={full} chosen={chosen?.id ?? ""} onChoose={choose} />}
      />
      <Assembly plan={of} onChoose={choose} chosen={chosen?.id ?? ""} />
      <GapLegend full={full} spots={lines.value.reduce((n, line) => n + line.spots.length, 0)} />
    </Workbench>
  );
}
