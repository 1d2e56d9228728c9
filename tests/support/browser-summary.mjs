import { writeFileSync } from "node:fs";

/** Leaves the counts of a run of browser tests as JSON in the file that COUNTS_FILE names. */
export default class BrowserSummary {
  #counts = { passed: 0, failed: 0, skipped: 0 };
  #seen = new Map();

  onTestEnd(test, result) {
    // Of a test that was tried again, its last try counts.
    this.#seen.set(test.id, { test, result });
  }

  onError() {
    this.#counts.failed++;
  }

  onEnd() {
    for (const { test, result } of this.#seen.values()) {
      const outcome = result.status === "skipped" ? "skipped" : test.ok() ? "passed" : "failed";
      this.#counts[outcome]++;
    }
    const file = process.env["COUNTS_FILE"];
    if (file) writeFileSync(file, JSON.stringify(this.#counts));
  }

  printsToStdio() {
    return false;
  }
}
