import { spawnSync } from "node:child_process";
import { existsSync, readFileSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/** The folder of the clone. */
export const root = fileURLToPath(new URL("..", import.meta.url));

/**
 * Brings node_modules up to the lock file; a sentence says so when there is anything to do.
 *
 * @returns false if the packages could not be installed; npm has then said why.
 */
export function installMissing() {
  // npm writes this file last, so an install that was broken off is seen as missing.
  const installed = join(root, "node_modules", ".package-lock.json");
  if (existsSync(installed) && changedMs(installed) >= changedMs(join(root, "package-lock.json"))) return true;
  console.log(
    "Installing the packages that package-lock.json names (npm ci). Where the database must be compiled, that",
  );
  console.log("takes a minute or two …");
  const { status } = npm(["ci", "--include=dev", "--no-audit", "--no-fund"]);
  if (status !== 0) console.error("The packages could not be installed; what npm says above tells why.");
  return status === 0;
}

function npm(args) {
  const options = { cwd: root, stdio: "inherit", env: { ...ownHeaders(), ...process.env } };
  // Started by npm itself, its own script is known. By name alone, Windows needs a shell to find npm.cmd.
  const script = process.env.npm_execpath;
  if (script?.endsWith("js")) return spawnSync(process.execPath, [script, ...args], options);
  return spawnSync("npm", args, { ...options, shell: process.platform === "win32" });
}

/**
 * The database is compiled where its finished addon cannot be fetched. Most installs of Node bring the headers that this
 * needs; without being told so, the compiler's helper asks for them over the network.
 */
function ownHeaders() {
  const prefix = dirname(dirname(process.execPath));
  const file = join(prefix, "include", "node", "node_version.h");
  if (!existsSync(file)) return {};
  const text = readFileSync(file, "utf8");
  const parts = ["MAJOR", "MINOR", "PATCH"].map((part) => new RegExp(`NODE_${part}_VERSION (\\d+)`).exec(text)?.[1]);
  return parts.join(".") === process.versions.node ? { npm_config_nodedir: prefix } : {};
}

function changedMs(path) {
  return statSync(path).mtimeMs;
}
