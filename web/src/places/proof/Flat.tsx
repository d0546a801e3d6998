// The same moment from above, on a plain canvas, for browsers without WebGL 2.
import { effect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { depthTable } from "../../math/ramp";
import type { Setup } from "../../model/api";
import { countUpTo } from "../../model/replay";
import { replay, tip, time } from "./moment";
import { surface } from "./surface";

export function Flat({ chosen }: { chosen: Setup }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(
    () =>
      effect(() => {
        if (canvas.current) paint(canvas.current, chosen);
      }),
    [chosen],
  );
  return (
    <canvas
      ref={canvas}
      class="flat"
      role="img"
      aria-label={`${chosen.name} from above, coloured by depth of cut. This browser has no WebGL 2, so the view is flat.`}
    />
  );
}

function paint(canvas: HTMLCanvasElement, chosen: Setup): void {
  const ctx = canvas.getContext("2d");
  const shown = surface.value;
  const [w, h] = chosen.stock.size;
  const box = canvas.parentElement?.getBoundingClientRect();
  if (!ctx || !box) return;
  canvas.width = Math.max(1, box.width * devicePixelRatio);
  canvas.height = Math.max(1, box.height * devicePixelRatio);
  const scale = 0.9 * Math.min(canvas.width / w, canvas.height / h);
  const left = (canvas.width - w * scale) / 2;
  const bottom = (canvas.height + h * scale) / 2;
  ctx.clearRect(0, 0, canvas.width, canvas.height);
  if (shown && shown.setup === chosen.name) {
    const { field } = shown;
    const image = new ImageData(field.columns, field.rows);
    const table = depthTable(256);
    field.z.forEach((z, k) => {
      const row = field.rows - 1 - Math.floor(k / field.columns);
      const at = 4 * (row * field.columns + (k % field.columns));
      const i = 3 * Math.round(255 * Math.min(1, Math.max(0, 1 - z / chosen.stock.thickness)));
      image.data.set([table[i] ?? 0, table[i + 1] ?? 0, table[i + 2] ?? 0, z > 0 ? 255 : 40], at);
    });
    const small = document.createElement("canvas");
    small.width = field.columns;
    small.height = field.rows;
    small.getContext("2d")?.putImageData(image, 0, 0);
    ctx.drawImage(small, left, bottom - h * scale, w * scale, h * scale);
  }
  const path = replay.value?.path;
  if (path) {
    const end = countUpTo(path.t, time.value);
    ctx.strokeStyle = getComputedStyle(canvas).color;
    ctx.lineWidth = devicePixelRatio;
    ctx.beginPath();
    for (let i = 1; i < end; ++i) {
      if (path.rapid[i]) continue;
      ctx.moveTo(left + (path.x[i - 1] ?? 0) * scale, bottom - (path.y[i - 1] ?? 0) * scale);
      ctx.lineTo(left + (path.x[i] ?? 0) * scale, bottom - (path.y[i] ?? 0) * scale);
    }
    ctx.stroke();
  }
  const at = tip.value?.at;
  if (at) {
    ctx.beginPath();
    ctx.arc(left + at[0] * scale, bottom - at[1] * scale, 5 * devicePixelRatio, 0, 2 * Math.PI);
    ctx.fill();
  }
}
