import { chmodSync, existsSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { build } from "vite";
import { writeDecodersTypes } from "./decodersTypes.mjs";
import { root } from "./install.mjs";
import { compileKernels } from "./kernels.mjs";

const webConfig = join(root, "vite.web.config.ts");

/**
 * Compiles the kernels and builds the pages, dist/wheelgram.js and, if asked, the decoders package. The command comes last, so that it is the
 * newest file.
 *
 * @returns false if the types of the decoders could not be written. A bundle that fails throws.
 */
export async function bundle({ decodersPackage }) {
  await compileKernels();
  if (decodersPackage) {
    await build({ root, configFile: join(root, "vite.decoders.config.ts") });
    if (!writeDecodersTypes()) return false;
  }
  // The settings of the pages name a root of their own.
  if (existsSync(webConfig)) await build({ configFile: webConfig });
  const dist = join(root, "dist");
  for (const name of existsSync(dist) ? readdirSync(dist) : []) {
    if (/\.js(\.map)?$/.test(name)) rmSync(join(dist, name)); // parts of an earlier build may have had other names
  }
  await build({ root, configFile: join(root, "vite.cli.config.ts") });
  chmodSync(join(dist, "wheelgram.js"), 0o755); // npx runs it as a program
  return true;
}
