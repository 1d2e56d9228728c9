import { defineConfig } from "vite";

// The command `wheelgram`, the threads that decode for its server, and the parts of both beside each other: a command
// loads its own parts only, and one machine alone nothing of NATS and PostgreSQL. The layouts are inside and the
// statistics' many small packages; the other packages stay in node_modules. No file name changes with its content.

export default defineConfig({
  publicDir: false,
  logLevel: "warn",
  // Of hundreds of small files each: one file of them starts three times as fast.
  ssr: { noExternal: [/^@stdlib\//] },
  build: {
    ssr: true,
    outDir: "dist",
    emptyOutDir: false, // the pages will lie there too
    target: "node20",
    sourcemap: true,
    minify: false,
    rolldownOptions: {
      input: {
        wheelgram: "server/cli/main.ts",
        worker: "server/work/worker.ts",
        storeWorker: "server/store/storeWorker.ts",
        airWorker: "server/http/class/airWorker.ts",
      },
      output: {
        entryFileNames: "[name].js",
        chunkFileNames: "[name].js",
        banner: (chunk) => (chunk.name === "wheelgram" ? "#!/usr/bin/env node" : ""),
      },
    },
  },
});
