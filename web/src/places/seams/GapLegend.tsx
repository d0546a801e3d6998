import { gapSign } from "../../math/gapColour";

const shares = [-1, -0.6, -0.3, 0, 0.3, 0.6, 1];

export function GapLegend({ full, spots }: { full: number; spots: number }) {
  const end = `${Math.round(full * 1e6) / 1e3} µm`;
  return (
    <div class="gap-legend">
      <p>Gap against what was asked, at the seam's worst place</p>
      <div class="scale">
        <span>−{end} too narrow</span>
        <svg viewBox="0 0 154 12" width={154} height={12} aria-hidden="true">
          {shares.map((share, i) => {
            const { colour, weight, dash } = gapSign(share * full, full);
            return <path key={share} d={`M${i * 22 + 1} 6 h20`} style={{ stroke: colour, strokeWidth: `${weight}px`, strokeDasharray: dash }} />;
          })}
        </svg>
        <span>+{end} too wide</span>
      </div>
      {spots > 0 && (
        <p>
          <svg viewBox="0 0 12 12" width={12} height={12} aria-hidden="true">
            <circle class="spot-ring" cx={6} cy={6} r={5} />
          </svg>{" "}
          junction: three borders meet, the gap is wider there
        </p>
      )}
    </div>
  );
}
