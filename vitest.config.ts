import { defineConfig } from "vitest/config";

process.env["TZ"] = "UTC"; // the workers inherit it

export default defineConfig({
  test: {
    pool: "forks",
    maxWorkers: 2,
    // A busy machine takes its time; what is asked again and again ends as soon as it is so.
    expect: { poll: { timeout: 60_000 } },
    testTimeout: 120_000,
    hookTimeout: 120_000,
    // One of thousands may come too late on a busy machine; `npm test` names each that needed a second try.
    retry: process.env["CI"] === "true" ? 1 : 0,
    allowOnly: false,
    reporters: ["default", "./tests/support/summary-reporter.mjs"],
    setupFiles: ["./tests/support/pinned.ts"],
    projects: [
      {
        extends: true,
        test: {
          name: "node",
          environment: "node",
          include: ["tests/{unit,standards,integration}/**/*.test.ts"],
          setupFiles: ["./tests/support/clear-folders.ts"],
        },
      },
      {
        extends: true,
        oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
        test: { name: "web", environment: "happy-dom", include: ["tests/unit/web-*.test.tsx"] },
      },
    ],
  },
});
