import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync, rmSync } from "node:fs";
import { dirname, join } from "node:path";
import { root } from "./install.mjs";

const folder = join(root, "decoders");
const dist = join(folder, "dist");

/**
 * Writes the declarations of the decoders package into decoders/dist: those that its entries lead to, and no others. The
 * compiler writes one for every file that is compiled, most of which say what nobody outside can reach.
 *
 * @returns false if the compiler found a fault; it has then said which.
 */
export function writeDecodersTypes() {
  const tsc = join(root, "node_modules", "typescript", "bin", "tsc");
  const args = [tsc, "-p", join(folder, "tsconfig.build.json")];
  if (spawnSync(process.execPath, args, { cwd: root, stdio: "inherit" }).status !== 0) return false;
  const { exports } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  const reached = new Set();
  for (const entry of Object.values(exports)) reach(join(folder, entry.types), reached);
  removeOthers(dist, reached);
  return true;
}

/** Adds a declaration and all that it imports. */
function reach(file, reached) {
  if (reached.has(file)) return;
  reached.add(file);
  for (const [, target] of readFileSync(file, "utf8").matchAll(/\b(?:from |import\()"(\.[^"]+)"/g)) {
    reach(join(dirname(file), target.replace(/\.ts$/, ".d.ts")), reached);
  }
}

function removeOthers(inside, reached) {
  for (const entry of readdirSync(inside, { withFileTypes: true })) {
    const path = join(inside, entry.name);
    if (entry.isDirectory()) removeOthers(path, reached);
    else if (path.endsWith(".d.ts") && !reached.has(path)) rmSync(path);
  }
  if (readdirSync(inside).length === 0) rmSync(inside, { recursive: true });
}
