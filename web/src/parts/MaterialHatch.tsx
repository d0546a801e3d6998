// Hatches of materials as patterns of one size on the screen, whatever the scale of the sheet.
import type { ComponentChildren } from "preact";
import type { Look } from "../model/look";

/** `scale`: pixels per unit of the drawing. */
export function MaterialHatch({ id, look, scale }: { id: string; look: Look; scale: number }) {
  const { form, spacing: s } = look;
  return (
    <pattern id={id} class="hatch" width={s} height={form === "grain" ? 2.6 * s : s} patternUnits="userSpaceOnUse" patternTransform={`rotate(${look.angle}) scale(${1 / scale})`}>
      {marks[form](s)}
    </pattern>
  );
}

const line = (d: string) => <path d={d} />;
const marks: Record<Look["form"], (s: number) => ComponentChildren> = {
  grain: (s) => (
    <>
      {line(`M0 ${0.4 * s} H${s}`)}
      {line(`M0 ${1.2 * s} H${0.62 * s}`)}
      {line(`M${0.3 * s} ${2.1 * s} H${s}`)}
    </>
  ),
  lines: (s) => line(`M0 ${s / 2} H${s}`),
  pairs: (s) => line(`M0 ${s / 2 - 1.2} H${s} M0 ${s / 2 + 1.2} H${s}`),
  cross: (s) => line(`M0 ${s / 2} H${s} M${s / 2} 0 V${s}`),
  grid: (s) => line(`M0 ${s / 2} H${s} M0 ${s / 2 + 2.2} H${s} M${s / 2} 0 V${s / 4}`),
  dots: (s) => <circle cx={s / 2} cy={s / 2} r={0.9} />,
};
