import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { root } from "./install.mjs";
import { prepare } from "./prepare.mjs";

/** Installs and builds what is missing, then serves; the arguments of `npm start` are those of `wheelgram serve`. */
export async function firstRun() {
  if (!(await prepare())) {
    process.exitCode = 1;
    return;
  }
  // In this process, so that Ctrl-C and whatever else ends it reach the server and nothing is left behind.
  const command = join(root, "dist", "wheelgram.js");
  process.argv = [process.execPath, command, "serve", ...process.argv.slice(2)];
  await import(pathToFileURL(command).href);
}
