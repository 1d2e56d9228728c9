import { defineConfig } from "vite";

// The command `wheelgram`, the threads that decode for its server, and what both need, beside each other; the layouts
// are inside and the statistics' many small packages; the other packages stay in node_modules. No file name changes with its content: none is left over.
// What needs NATS and PostgreSQL is a file of its own, which one machine alone never loads.
const ofFleets = /server\/(fleet\/(?!address|fleetError|recordingTelegrams|status\.)|store\/postgres\/)/;

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
            { name: "decoding", test: (id: string) => !ofFleets.test(id), minShareCount: 2, priority: 2 },
            { name: "fleet", test: ofFleets, priority: 1 },
          ],
        },
        banner: (chunk) => (chunk.name === "wheelgram" ? "#!/usr/bin/env node" : ""),
      },
    },
  },
});
