// Findings of a proof, put in order and into plain words.

import type { Finding } from "./api";

/** What a kind of finding means, for people. */
const words: Record<string, string> = {
  "rapid-in-material": "Rapid through material",
  "clamp-contact": "Touches a clamp",
  "holder-contact": "Holder touches",
  "table-limit": "Beyond the table",
  "bed-cut": "Cuts into the bed",
  gouge: "Cuts into the part",
  "left-standing": "Material left standing",
  "freed-part-hit": "Hits a part already free",
  overload: "More load than planned",
  "spindle-off": "Spindle is off",
  "speed-range": "Speed out of range",
  "no-feed": "No feed set",
  plunge: "Plunges a cutter that cannot",
  units: "Units",
  arc: "Arc is not one",
  syntax: "Not understood",
};

export function kindInWords(kind: string): string {
  return words[kind] ?? kind;
}

/** Program of a finding among a setup's programs: by its file, with or without the folder. -1: another setup's. */
export function programIndex(finding: Pick<Finding, "program">, programs: readonly { readonly file: string }[]): number {
  const base = (file: string) => file.slice(file.lastIndexOf("/") + 1);
  return programs.findIndex((p) => p.file === finding.program || base(p.file) === base(finding.program));
}

/** The setup whose program a finding is about; undefined when none has it. */
export function setupOf<S extends { readonly programs: readonly { readonly file: string }[] }>(
  finding: Pick<Finding, "program">,
  setups: readonly S[],
): S | undefined {
  return setups.find((s) => programIndex(finding, s.programs) >= 0);
}
