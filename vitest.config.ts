import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    pool: "forks",
    maxWorkers: 2,
    testTimeout: 120_000,
    projects: [
      {
        extends: true,
        test: { name: "node", environment: "node", include: ["tests/{unit,standards,integration}/**/*.test.ts"] },
      },
    ],
  },
});
