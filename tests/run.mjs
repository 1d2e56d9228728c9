import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { root } from "../server/install.mjs";
import { prepare } from "../server/prepare.mjs";
import { closingLine } from "./support/summary-reporter.mjs";

// What `npm test` runs: types, lint and format, dead code, then the tests. With arguments, which go to vitest as a
// filter, the tests alone.
const filter = process.argv.slice(2);
const checks = [
  { name: "types", bin: "typescript/bin/tsc", args: ["-p", "tsconfig.json"] },
  { name: "types of the decoders alone", bin: "typescript/bin/tsc", args: ["-p", "decoders/tsconfig.json"] },
  { name: "types of the pages", bin: "typescript/bin/tsc", args: ["-p", "web/tsconfig.json"] },
  { name: "lint and format", bin: "@biomejs/biome/bin/biome", args: ["check", "--error-on-warnings", "."] },
  { name: "dead code", bin: "knip/bin/knip.js", args: [] },
];

if (!(await prepare({ decodersPackage: true }))) {
  console.log(closingLine({ passed: 0, failed: 1, skipped: 0 }));
  process.exitCode = 1;
} else {
  const failedChecks = (filter.length > 0 ? [] : checks).filter((check) => !passes(check));
  const counts = runTests();
  const checkCount = filter.length > 0 ? 0 : checks.length;
  for (const { name } of failedChecks) console.log(`failed: ${name}`);
  const total = {
    passed: counts.passed + checkCount - failedChecks.length,
    failed: counts.failed + failedChecks.length,
    skipped: counts.skipped,
  };
  console.log(closingLine(total));
  process.exitCode = total.failed > 0 ? 1 : 0;
}

function passes({ name, bin, args }) {
  console.log(`\n— ${name}`);
  return run(bin, args) === 0;
}

function runTests() {
  console.log("\n— tests");
  const file = join(root, ".cache", "test-counts.json");
  mkdirSync(join(root, ".cache"), { recursive: true });
  rmSync(file, { force: true });
  const status = run("vitest/vitest.mjs", ["run", ...filter], { COUNTS_FILE: file, TZ: "UTC", LC_ALL: "C.UTF-8" });
  // Without the numbers the runner itself broke down.
  const counts = existsSync(file) ? JSON.parse(readFileSync(file, "utf8")) : { passed: 0, failed: 1, skipped: 0 };
  // Nothing ran, or the runner failed for a reason that no test shows: that is a failure too.
  if (counts.failed === 0 && (status !== 0 || counts.passed === 0)) counts.failed = 1;
  return counts;
}

function run(bin, args, env = {}) {
  const script = join(root, "node_modules", bin);
  return spawnSync(process.execPath, [script, ...args], {
    cwd: root,
    stdio: "inherit",
    env: { ...process.env, ...env },
  }).status;
}
