import { spawnSync } from "node:child_process";
import { root } from "./install.mjs";
import { prepare } from "./prepare.mjs";

/** Analyses one of the samples, so that a fresh clone shows what it can do, and says where to go next. */
export async function firstRun() {
  if (!(await prepare())) {
    process.exitCode = 1;
    return;
  }
  const sample = "samples/sound-car.sigmf-meta";
  console.log(`\n$ npx wheelgram analyse ${sample}\n`);
  const run = spawnSync(process.execPath, ["dist/wheelgram.js", "analyse", sample], { cwd: root, stdio: "inherit" });
  process.exitCode = run.status ?? 130;
  if (run.status !== 0) return;
  console.log(`
Where to go next:
  npx wheelgram analyse samples/unknown-layout.sigmf-meta      sensors that send but cannot be read, and why
  npx wheelgram analyse --json ${sample}    the telegrams above as records, one a line
  npx wheelgram --help                                         everything else
`);
}
