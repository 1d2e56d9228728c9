import { writeFileSync } from "node:fs";
import { relative } from "node:path";

/**
 * Counts the tests of a run and says `N passed, N failed` on a line of its own, or, where COUNTS_FILE names a file,
 * leaves the numbers and the names of what failed there as JSON for whoever started the run.
 */
export default function summaryReporter() {
  return {
    onTestRunEnd(modules, errors) {
      const outcome = outcomeOf(modules, errors);
      const file = process.env["COUNTS_FILE"];
      if (file) writeFileSync(file, JSON.stringify(outcome));
      else console.log(closingLine(outcome.counts));
    },
  };
}

/** `12 passed, 0 failed`, with `, 1 skipped` where tests were left out. */
export function closingLine({ passed, failed, skipped }) {
  return `${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ""}`;
}

/** What failed, in one line. */
export function failedLine(where, error) {
  const [first = "it never came to a result"] = (error?.message ?? "").split("\n").filter((line) => line.trim() !== "");
  // biome-ignore lint/suspicious/noControlCharactersInRegex: colours of a terminal
  return `${where}: ${first.replace(/\u001b\[[\d;]*m/g, "").trim()}`;
}

/** A file that cannot be imported has no tests: it, a suite whose hook throws, and a stray error each count as one failed. */
function outcomeOf(modules, errors) {
  const counts = { passed: 0, failed: errors.length, skipped: 0 };
  const failed = errors.map((error) => failedLine("outside of the tests", error));
  /** Passed, but not at the first try. */
  const again = [];
  for (const module of modules) {
    const file = relative(process.cwd(), module.moduleId);
    for (const suite of [module, ...module.children.allSuites()]) {
      if (suite.errors().length === 0) continue;
      counts.failed += 1;
      failed.push(failedLine(suite === module ? file : `${file} › ${suite.fullName}`, suite.errors()[0]));
    }
    for (const test of module.children.allTests()) {
      const { state, errors: its } = test.result();
      const where = `${file} › ${test.fullName}`;
      // A test that never came to a result was not passed.
      counts[state === "pending" ? "failed" : state] += 1;
      if (state === "pending" || state === "failed") failed.push(failedLine(where, its?.[0]));
      else if (test.diagnostic()?.flaky) again.push(failedLine(where, its?.[0]));
    }
  }
  return { counts, failed, again };
}
