import { writeFileSync } from "node:fs";

/**
 * Counts the tests of a run and says `N passed, N failed` on a line of its own, or, where COUNTS_FILE names a file,
 * leaves the numbers there as JSON for whoever started the run.
 */
export default function summaryReporter() {
  return {
    onTestRunEnd(modules, errors) {
      const counts = countTests(modules, errors);
      const file = process.env["COUNTS_FILE"];
      if (file) writeFileSync(file, JSON.stringify(counts));
      else console.log(closingLine(counts));
    },
  };
}

/** `12 passed, 0 failed`, with `, 1 skipped` where tests were left out. */
export function closingLine({ passed, failed, skipped }) {
  return `${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ""}`;
}

/** A file that cannot be imported has no tests: it, a suite whose hook throws, and a stray error each count as one failed. */
function countTests(modules, errors) {
  const counts = { passed: 0, failed: errors.length, skipped: 0 };
  for (const module of modules) {
    counts.failed += module.errors().length > 0 ? 1 : 0;
    for (const suite of module.children.allSuites()) counts.failed += suite.errors().length > 0 ? 1 : 0;
    for (const test of module.children.allTests()) {
      const { state } = test.result();
      // A test that never came to a result was not passed.
      counts[state === "pending" ? "failed" : state] += 1;
    }
  }
  return counts;
}
