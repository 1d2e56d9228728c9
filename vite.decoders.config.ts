import { defineConfig } from "vite";

// The package @wheelgram/decoders: plain ES modules for Node, workers and the browser; zod is its only dependency.
export default defineConfig({
  publicDir: false,
  logLevel: "warn",
  build: {
    lib: {
      entry: {
        analyse: "decoders/analyse.ts",
        records: "decoders/records.ts",
        sources: "decoders/sources.ts",
        layouts: "decoders/layouts/builtin.ts",
        validate: "decoders/layouts/validate.ts",
      },
      formats: ["es"],
    },
    outDir: "decoders/dist",
    emptyOutDir: true,
    target: "es2023",
    sourcemap: true,
    minify: false,
    rolldownOptions: { external: ["zod"] },
  },
});
