// A drawing comes in: dropped anywhere, or chosen.
import { useEffect, useState } from "preact/hooks";
import { faultyJob, openDrawing, state, writing } from "../../api/store";
import { chosen } from "./chosen";

function open(file: File | undefined): void {
  if (!file) return;
  chosen.value = [];
  void openDrawing(file);
}

/** True while a file hangs over the page. */
export function useDrop(): boolean {
  const [over, setOver] = useState(false);
  useEffect(() => {
    const enter = (event: DragEvent) => {
      if (!event.dataTransfer?.types.includes("Files")) return;
      event.preventDefault();
      setOver(true);
    };
    const leave = (event: DragEvent) => event.relatedTarget === null && setOver(false);
    const drop = (event: DragEvent) => {
      event.preventDefault();
      setOver(false);
      open(event.dataTransfer?.files[0]);
    };
    addEventListener("dragover", enter);
    addEventListener("dragleave", leave);
    addEventListener("drop", drop);
    return () => {
      removeEventListener("dragover", enter);
      removeEventListener("dragleave", leave);
      removeEventListener("drop", drop);
    };
  }, []);
  return over;
}

export function ChooseFile({ text, main = false }: { text: string; main?: boolean }) {
  return (
    <label class={`button file${main ? " main" : ""}`}>
      {text}
      <input
        type="file"
        accept=".svg,.dxf,.geojson,.json"
        onChange={(event) => {
          open(event.currentTarget.files?.[0]);
          event.currentTarget.value = "";
        }}
      />
    </label>
  );
}

export function DropPlace() {
  const fault = faultyJob.value;
  if (fault)
    return (
      <div class="empty">
        <h1>The job file cannot be used</h1>
        <p class="mono">
          {fault.problem.file}:{fault.problem.line}:{fault.problem.column}
        </p>
        <p>{fault.problem.what}</p>
        {fault.problem.remedy && <p class="quiet">What to do: {fault.problem.remedy}</p>}
        <p>
          <ChooseFile text="Begin with another drawing" />
        </p>
      </div>
    );
  if (state.value?.job) return <p class="quiet empty">Reading the drawing …</p>;
  return (
    <div class="empty">
      <h1>Begin with the drawing of the set</h1>
      <p>Drop it here: SVG or DXF with one closed outline for each piece, or a map as GeoJSON or TopoJSON.</p>
      <p>
        <ChooseFile text="Choose a drawing" main />
      </p>
      <p class="quiet">{writing.value ? "Reading …" : "A job folder named like the file is made beside where the page was started. Nothing leaves this computer."}</p>
    </div>
  );
}
