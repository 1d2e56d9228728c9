import { defineConfig } from "@playwright/test";

process.env["TZ"] = "UTC"; // the workers inherit it

// `npm test` looks for a browser and names it here; without a name Playwright takes its own.
const executablePath = process.env["CHROMIUM_PATH"];

export default defineConfig({
  testDir: "tests/browser",
  testMatch: "*.test.ts",
  outputDir: ".cache/browser-tests",
  timeout: 150_000,
  // A machine with other work beside it is slow to analyse the samples; what must be quick is timed by the test itself.
  expect: { timeout: 30_000 },
  fullyParallel: false, // the tests of a file share a server
  workers: 2,
  forbidOnly: true,
  // As in vitest.config.ts.
  retries: process.env["CI"] === "true" ? 1 : 0,
  reporter: [["list"], ["./tests/support/browser-summary.mjs"]],
  use: {
    browserName: "chromium",
    viewport: { width: 1280, height: 800 },
    locale: "en-GB",
    timezoneId: "UTC",
    colorScheme: "light",
    reducedMotion: "reduce",
    screenshot: "only-on-failure",
    launchOptions: {
      ...(executablePath === undefined ? {} : { executablePath }),
      args: [
        "--disable-gpu",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--no-first-run",
        ...(process.getuid?.() === 0 ? ["--no-sandbox"] : []),
      ],
    },
  },
});
