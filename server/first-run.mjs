import { join } from "node:path";
import { root } from "./install.mjs";
import { prepare } from "./prepare.mjs";

/** Installs and builds what is missing, then serves; the arguments of `npm start` are those of `wheelgram serve`. */
export async function firstRun() {
  if (!(await prepare())) {
    process.exitCode = 1;
    return;
  }
  // In this process, so that Ctrl-C and whatever else ends it reach the server and nothing is left behind.
  process.argv = [process.execPath, join(root, "dist", "wheelgram.js"), "serve", ...process.argv.slice(2)];
  await import("../dist/wheelgram.js");
}
