// One click gives the chosen regions their material.
import { edit } from "../../api/store";
import type { Job, Shop } from "../../model/api";
import { commonMaterial, giveMaterial, several } from "../../model/choose";
import type { Look } from "../../model/look";
import { MaterialHatch } from "../../parts/MaterialHatch";

interface Props {
  job: Job;
  shop: Shop;
  looks: Map<string, Look>;
  chosen: readonly string[];
}

export function Materials({ job, shop, looks, chosen }: Props) {
  const common = chosen.length > 0 ? commonMaterial(job, chosen) : "";
  const have = new Set(job.sheets.map((sheet) => sheet.material));
  const give = (material: string) =>
    void edit(`${material} for ${several(chosen)}`, (current) => giveMaterial(current, chosen, material));
  return (
    <div class="materials">
      <h2>Material {chosen.length === 0 && <span class="quiet">choose regions first</span>}</h2>
      <div class="material-list" role="group" aria-label="Give a material to the chosen regions">
        {shop.materials.map(({ name }) => (
          <button key={name} type="button" class="material" disabled={chosen.length === 0} aria-pressed={chosen.length > 0 && common === name} onClick={() => give(name)}>
            <Sample look={looks.get(name)} name={name} />
            <span>
              {name}
              {!have.has(name) && <small>no sheet</small>}
            </span>
          </button>
        ))}
      </div>
    </div>
  );
}

export function Sample({ look, name }: { look: Look | undefined; name: string }) {
  if (!look) return null;
  const id = `sample-${name}`;
  return (
    <svg class="sample" viewBox="0 0 36 24" aria-hidden="true">
      <defs>
        <MaterialHatch id={id} look={look} scale={1} />
      </defs>
      <rect class="ground" width={36} height={24} style={{ "--hue": `${look.hue}` }} />
      <rect width={36} height={24} fill={`url(#${id})`} />
    </svg>
  );
}
