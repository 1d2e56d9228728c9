import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { root } from "../server/install.mjs";
import { prepare } from "../server/prepare.mjs";
import { findBrowser } from "./support/browser.mjs";
import { whyNoFleet } from "./support/fleet-programs.mjs";
import { closingLine } from "./support/summary-reporter.mjs";

// What `npm test` runs: types, lint and format, dead code, the tests without a browser, then those in a browser. With
// arguments only the test files whose path holds one of them, without the checks before.
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
  const suites = [runTests(), await runBrowserTests()];
  const checkCount = filter.length > 0 ? 0 : checks.length;
  for (const { name } of failedChecks) console.log(`failed: ${name}`);
  const sum = (outcome) => suites.reduce((total, { counts }) => total + counts[outcome], 0);
  const total = {
    passed: sum("passed") + checkCount - failedChecks.length,
    failed: sum("failed") + failedChecks.length,
    skipped: sum("skipped"),
  };
  // With a filter that fits no file nothing was tested, and that is not a success.
  if (total.passed === 0 && total.failed === 0) total.failed = 1;
  for (const { failed = [] } of suites) for (const line of failed) console.log(`failed: ${line}`);
  for (const { again = [] } of suites) for (const line of again) console.log(`passed at the second try: ${line}`);
  for (const { remark } of suites) if (remark) console.log(remark);
  console.log(closingLine(total));
  process.exitCode = total.failed > 0 ? 1 : 0;
}

function passes({ name, bin, args }) {
  console.log(`\n— ${name}`);
  return run(bin, args) === 0;
}

/** `remark` says in one line that the tests of the fleet did not run, and why; under `CI=true` they fail instead. */
function runTests() {
  console.log("\n— tests");
  const suite = counted("vitest/vitest.mjs", ["run", ...filter, ...(filter.length > 0 ? ["--passWithNoTests"] : [])]);
  const why = process.env["CI"] === "true" ? undefined : whyNoFleet();
  return why === undefined ? suite : { ...suite, remark: `The tests of the fleet did not run: ${why}` };
}

/** `remark` says in one line that the browser tests did not run, and why. */
async function runBrowserTests() {
  const folder = "tests/browser";
  const files = readdirSync(join(root, folder))
    .map((name) => `${folder}/${name}`)
    .filter((file) => file.endsWith(".test.ts"))
    .filter((file) => filter.length === 0 || filter.some((word) => file.includes(word)));
  if (files.length === 0) return { counts: { passed: 0, failed: 0, skipped: 0 } };
  console.log("\n— tests in a browser");
  try {
    process.env["CHROMIUM_PATH"] = await findBrowser();
  } catch ({ message }) {
    // Whoever has no browser can still test the rest; where the tests guard the project, that would be a hole.
    const failed = process.env["CI"] === "true" ? 1 : 0;
    return { counts: { passed: 0, failed, skipped: 0 }, remark: `The browser tests did not run: ${message}` };
  }
  // Playwright takes its arguments as patterns.
  const patterns = files.map((file) => file.replaceAll(".", "\\."));
  return counted("@playwright/test/cli.js", ["test", ...patterns]);
}

/** Runs one suite, which leaves its counts in a file, and the names of what failed. */
function counted(bin, args) {
  const file = join(root, ".cache", "test-counts.json");
  mkdirSync(join(root, ".cache"), { recursive: true });
  rmSync(file, { force: true });
  const status = run(bin, args, { COUNTS_FILE: file, TZ: "UTC", LC_ALL: "C.UTF-8" });
  // Without the numbers the runner itself broke down.
  const outcome = existsSync(file)
    ? JSON.parse(readFileSync(file, "utf8"))
    : { counts: { passed: 0, failed: 1, skipped: 0 }, failed: [`${bin} broke down`] };
  const { counts } = outcome;
  // The runner failed for a reason that no test shows, or ran nothing though it was not filtered: that is a failure too.
  if (counts.failed === 0 && (status !== 0 || (counts.passed === 0 && filter.length === 0))) counts.failed = 1;
  return outcome;
}

function run(bin, args, env = {}) {
  const script = join(root, "node_modules", bin);
  return spawnSync(process.execPath, [script, ...args], {
    cwd: root,
    stdio: "inherit",
    env: { ...process.env, ...env },
  }).status;
}
