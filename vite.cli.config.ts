import { defineConfig } from "vite";

// The command `wheelgram`, the threads that decode for its server, and what both need, beside each other; the layouts
// are inside and the statistics' many small packages; the other packages stay in node_modules. No file name changes with its content: none is left over.
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
        codeSplitting: {
          groups: [
            // With NATS and PostgreSQL, which one machine alone never loads.
            { name: "fleet", test: /server\/(fleet\/(?!address|fleetError)|store\/postgres\/)/, priority: 1 },
            { name: "decoding", minShareCount: 2 },
          ],
        },
        banner: (chunk) => (chunk.name === "wheelgram" ? "#!/usr/bin/env node" : ""),
      },
    },
  },
});
