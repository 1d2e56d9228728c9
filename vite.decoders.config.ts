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
    minify: false, // so it can be read and stepped through without a source map
    // Names without a hash: what is packed is held against a list.
    rolldownOptions: { external: ["zod"], output: { chunkFileNames: "shared/[name].js" } },
  },
});
