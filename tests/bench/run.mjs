import { execFileSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { cpus } from "node:os";
import { parseArgs } from "node:util";

// What `npm run bench -- [NAME...] [--seed N] [--draws N]` runs: the named benches, or all of them one after another.
// Each is NAME.bench.ts in this folder with `export default async function (options: BenchOptions)`.
const folder = new URL(".", import.meta.url);
const ending = ".bench.ts";
const all = readdirSync(folder)
  .filter((file) => file.endsWith(ending))
  .map((file) => file.slice(0, -ending.length))
  .sort();

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { seed: { type: "string", default: "1" }, draws: { type: "string" } },
});
const seed = wholeNumber("seed", values.seed);
const draws = values.draws === undefined ? undefined : wholeNumber("draws", values.draws);
const unknown = positionals.filter((name) => !all.includes(name));
if (unknown.length > 0) {
  console.error(`No bench is called ${unknown.join(", ")}. There are: ${all.join(", ")}.`);
  process.exit(2);
}

console.error(`${new Date().toISOString()} · ${cpus().length} × ${cpus()[0]?.model ?? "unknown processor"}`);
console.error(`Node ${process.versions.node} · commit ${commit()} · seed ${seed}`);
for (const name of positionals.length > 0 ? positionals : all) {
  console.error(`\n${name}`);
  const bench = await import(new URL(`${name}${ending}`, folder).href);
  await bench.default({ seed, draws });
}

function wholeNumber(name, text) {
  const value = Number(text);
  if (Number.isSafeInteger(value) && value >= 0 && text.trim() !== "") return value;
  console.error(`--${name}: found ${text}, allowed a whole number from 0`);
  process.exit(2);
}

function commit() {
  const git = (...args) => execFileSync("git", args, { cwd: folder, encoding: "utf8" }).trim();
  try {
    return git("rev-parse", "--short", "HEAD") + (git("status", "--porcelain") ? " with changes" : "");
  } catch {
    return "unknown (no git)"; // a copy without its history can still be measured
  }
}
