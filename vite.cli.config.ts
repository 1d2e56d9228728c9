import { defineConfig } from "vite";

// The command `wheelgram` as one file; the layouts are inside it, the packages stay in node_modules.
export default defineConfig({
  publicDir: false,
  logLevel: "warn",
  build: {
    ssr: "server/cli/main.ts",
    outDir: "dist",
    emptyOutDir: false, // the pages will lie there too
    target: "node20",
    sourcemap: true,
    minify: false,
    rolldownOptions: {
      output: { entryFileNames: "wheelgram.js", banner: "#!/usr/bin/env node", codeSplitting: false },
    },
  },
});
