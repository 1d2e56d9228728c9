import { writeFileSync } from "node:fs";
import { relative } from "node:path";
import { failedLine } from "./summary-reporter.mjs";

/** Leaves the counts of a run of browser tests, and the names of what failed, as JSON in the file that COUNTS_FILE names. */
export default class BrowserSummary {
  #counts = { passed: 0, failed: 0, skipped: 0 };
  #failed = [];
  #seen = new Map();

  onTestEnd(test, result) {
    // Of a test that was tried again, its last try counts.
    const error = result.error ?? this.#seen.get(test.id)?.error;
    this.#seen.set(test.id, { test, result, error });
  }

  onError(error) {
    this.#counts.failed++;
    this.#failed.push(failedLine("outside of the tests", error));
  }

  onEnd() {
    /** Passed, but not at the first try. */
    const again = [];
    for (const { test, result, error } of this.#seen.values()) {
      const outcome = result.status === "skipped" ? "skipped" : test.ok() ? "passed" : "failed";
      this.#counts[outcome]++;
      const where = `${relative(process.cwd(), test.location.file)} › ${test.title}`;
      if (outcome === "failed") this.#failed.push(failedLine(where, error));
      else if (test.outcome() === "flaky") again.push(failedLine(where, error));
    }
    const file = process.env["COUNTS_FILE"];
    if (file) writeFileSync(file, JSON.stringify({ counts: this.#counts, failed: this.#failed, again }));
  }

  printsToStdio() {
    return false;
  }
}
