import { existsSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { installMissing, root } from "./install.mjs";

const command = join(root, "dist", "wheelgram.js");
const pages = existsSync(join(root, "vite.web.config.ts")) ? [join(root, "dist", "web", "index.html")] : [];
const sources = [
  "decoders",
  "seeds",
  "server",
  "web",
  "package.json",
  "package-lock.json",
  "vite.cli.config.ts",
  "vite.decoders.config.ts",
  "vite.web.config.ts",
].filter((name) => existsSync(join(root, name)));

/**
 * Packages installed, command and pages built, whatever was there before.
 *
 * @param options.decodersPackage Builds decoders/dist as well, which only `npm run build` and the tests need.
 * @param options.force Builds even if nothing has changed.
 * @returns false if a step failed; it has then said why.
 */
export async function prepare({ decodersPackage = false, force = false } = {}) {
  if (!installMissing()) return false;
  const outputs = [command, ...pages, ...(decodersPackage ? [join(root, "decoders", "dist", "analyse.js")] : [])];
  if (force || outputs.some(isStale)) {
    console.log("Building …");
    // Not at the top: it needs a package, which may just have been installed.
    const { bundle } = await import("./bundle.mjs");
    try {
      if (!(await bundle({ decodersPackage }))) return false;
    } catch (error) {
      console.error(`The build failed. ${error.message}`);
      return false;
    }
  }
  return true;
}

/** Older than any source, or missing. */
function isStale(output) {
  if (!existsSync(output)) return true;
  const builtMs = statSync(output).mtimeMs;
  return sources.some((name) => newestMs(join(root, name)) > builtMs);
}

/** The last change in a file or folder; a folder's own time tells of files that went away. */
function newestMs(path) {
  const stats = statSync(path);
  if (!stats.isDirectory()) return stats.mtimeMs;
  const names = readdirSync(path).filter((name) => name !== "dist" && name !== "node_modules");
  return Math.max(stats.mtimeMs, ...names.map((name) => newestMs(join(path, name))));
}
