import { spawnSync } from "node:child_process";
import { chmodSync, copyFileSync, existsSync } from "node:fs";
import { join } from "node:path";
import { build } from "vite";
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
    copyFileSync(join(root, "LICENSE"), join(root, "decoders", "dist", "LICENSE"));
    if (!writeTypes()) return false;
  }
  // The settings of the pages name a root of their own.
  if (existsSync(webConfig)) await build({ configFile: webConfig });
  await build({ root, configFile: join(root, "vite.cli.config.ts") });
  chmodSync(join(root, "dist", "wheelgram.js"), 0o755); // npx runs it as a program
  return true;
}

function writeTypes() {
  const tsc = join(root, "node_modules", "typescript", "bin", "tsc");
  const args = [tsc, "-p", join(root, "decoders", "tsconfig.build.json")];
  return spawnSync(process.execPath, args, { cwd: root, stdio: "inherit" }).status === 0;
}
