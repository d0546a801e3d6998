// What the real server answers, held against the types of src/model/api.ts by the TypeScript compiler itself.
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test } from "vitest";
import { program, serve } from "./support";

const web = join(dirname(fileURLToPath(import.meta.url)), "..");
const small = join(web, "..", "examples", "small");

/** Each request with the type of its answer. */
const answers: [type: string, request: string][] = [
  ["State", "state"],
  ["Shop", "shop"],
  ["Job", "job"],
  ["Drawing", "drawing"],
  ["Plan", "plan"],
  ["Proof", "proof"],
  ["Detail", "detail"],
];

/** The compiler's complaints about `text`, without those of members that a type leaves out on purpose (TS2353). */
function complaints(folder: string, text: string): string[] {
  const file = join(folder, "answers.ts");
  writeFileSync(file, text);
  try {
    execFileSync(process.execPath, [join(web, "node_modules", "typescript", "bin", "tsc"), "--noEmit", "--strict", "--skipLibCheck",
      "--module", "ESNext", "--moduleResolution", "Bundler", "--target", "ES2022", "--typeRoots", join(web, "node_modules", "@types"), "--types", "node", file], { encoding: "utf8", cwd: web });
    return [];
  } catch (error) {
    const said = (error as { stdout: string }).stdout.split("\n");
    return said.filter((line) => line.includes("error TS") && !line.includes("TS2353"));
  }
}

test("every answer has the shape that the front end expects", async () => {
  const folder = mkdtempSync(join(tmpdir(), "kerfwright-e2e-"));
  for (const file of ["job.toml", "quilt.svg"]) copyFileSync(join(small, file), join(folder, file));
  execFileSync(program, ["plan", join(folder, "job.toml"), "--quiet"], { stdio: "ignore" });
  const served = await serve(folder);
  try {
    const [origin, token] = served.address.split("/#");
    let text = `import type { ${answers.map(([type]) => type).join(", ")} } from "${join(web, "src", "model", "api")}";\n`;
    for (const [type, request] of answers) {
      const reply = await fetch(`${origin}/api/${request}`, { headers: { "X-Kerfwright-Token": token ?? "" } });
      expect(reply.status, request).toBe(200);
      text += `export const ${request}: ${type} = ${await reply.text()};\n`;
    }
    expect(complaints(folder, text)).toEqual([]);
    // The check itself can fail: a number where the type wants a text.
    expect(complaints(folder, text.replace(/"title":\s*"[^"]*"/, '"title": 7')).length).toBeGreaterThan(0);
  } finally {
    served.stop();
  }
});
