// A clamp on its sheet: a keep-out box with its height, dragged or moved by keys.
import type { Clamp } from "../../model/api";
import { dropClamp, nudgeClamp } from "./changes";
import { boardAt, follow, keepStill } from "./drag";
import { chosen, movingClamp } from "./table";

interface ClampViewProps {
  sheet: string;
  index: number;
  clamp: Clamp;
  scale: number;
  clashes: boolean;
}

const arrows: Record<string, readonly [number, number]> = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

export function ClampView({ sheet, index, clamp, scale, clashes }: ClampViewProps) {
  const [x, y] = clamp.at;
  const [w, h] = clamp.size;
  const me = { kind: "clamp", sheet, index } as const;
  const isChosen = chosen.value?.kind === "clamp" && chosen.value.sheet === sheet && chosen.value.index === index;
  const onPointerDown = (event: PointerEvent) => {
    chosen.value = me;
    const start = boardAt(event.clientX, event.clientY);
    if (!start) return;
    follow(event, {
      onMove(move) {
        const there = boardAt(move.clientX, move.clientY);
        if (there?.sheet !== sheet) return;
        movingClamp.value = { sheet, index, at: [x + there.at[0] - start.at[0], y + there.at[1] - start.at[1]] };
      },
      onEnd: (moved) => void (moved && dropClamp()),
      onCancel: () => (movingClamp.value = null),
    });
  };
  const onKeyDown = (event: KeyboardEvent) => {
    const arrow = arrows[event.key];
    if (!arrow || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const step = event.shiftKey ? 0.1 : event.altKey ? 10 : 1;
    nudgeClamp(sheet, index, [step * arrow[0], step * arrow[1]]);
  };
  // Small boxes are held by a margin around them, so that a finger finds them.
  const reach = Math.max(0, (28 / scale - Math.min(w, h)) / 2);
  return (
    <g
      class={`clamp${isChosen ? " chosen" : ""}${clashes ? " clash" : ""}`}
      tabIndex={0}
      role="button"
      aria-pressed={isChosen}
      aria-label={`Clamp ${index + 1} of ${sheet}, ${w} by ${h} mm, ${clamp.height} mm high, at X ${x.toFixed(1)} Y ${y.toFixed(1)}`}
      aria-describedby="sheets-keys"
      onKeyDown={onKeyDown}
      onFocus={() => (chosen.value = me)}
      onTouchStart={keepStill}
      onPointerDown={onPointerDown}
    >
      <rect class="grip" x={x - reach} y={y - reach} width={w + 2 * reach} height={h + 2 * reach} />
      <rect class="box" x={x} y={y} width={w} height={h} />
      <path class="box" d={`M${x} ${y} l${w} ${h} M${x + w} ${y} l${-w} ${h}`} />
      <g transform={`translate(${x + w / 2} ${y + h}) scale(${1 / scale} ${-1 / scale})`}>
        <text class="height" text-anchor="middle" y="-4">
          ↥{clamp.height}
        </text>
      </g>
    </g>
  );
}
