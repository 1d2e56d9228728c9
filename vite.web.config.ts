import { defineConfig } from "vite";

// The pages, into dist/web. Nothing is put into the page itself, since its content security policy forbids that.
export default defineConfig({
  root: "web",
  logLevel: "warn",
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: "../dist/web",
    emptyOutDir: true,
    target: "es2022",
    sourcemap: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  server: {
    host: "127.0.0.1",
    port: 5173,
    proxy: { "/api": "http://127.0.0.1:8315", "/help/": "http://127.0.0.1:8315" },
  },
});
