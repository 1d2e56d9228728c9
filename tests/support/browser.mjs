import { execFileSync } from "node:child_process";
import { accessSync, constants, existsSync, mkdirSync, readFileSync } from "node:fs";
import { delimiter, join } from "node:path";
import { pathToFileURL } from "node:url";
import { brotliDecompressSync } from "node:zlib";
import { root } from "../../server/install.mjs";

/**
 * The path of a Chromium that runs: the one that CHROMIUM_PATH names, one that is installed, Playwright's own, one from
 * Debian where we are root, one that comes in a package of npm. The last three are fetched; that takes a minute at most.
 *
 * @throws Error with one sentence if there is none to be had, or CHROMIUM_PATH names one that does not run.
 */
export async function findBrowser() {
  const given = process.env["CHROMIUM_PATH"];
  if (given) {
    if (runs(given)) return given;
    throw new Error(`CHROMIUM_PATH is ${given}, which does not run.`);
  }
  for (const step of [installed, playwrightsOwn, byPlaywright, byApt, byNpm]) {
    const path = await step();
    if (path) return path;
  }
  throw new Error("No Chromium is installed and none could be fetched; install one, or name it in CHROMIUM_PATH.");
}

const NAMES = ["chromium", "chromium-browser", "google-chrome-stable", "google-chrome", "microsoft-edge"];
const FIXED = {
  darwin: [
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
  ],
  win32: [
    ...programs("Google/Chrome/Application/chrome.exe"),
    ...programs("Microsoft/Edge/Application/msedge.exe"), // every Windows has it
  ],
};

function programs(file) {
  const folders = ["PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"].map((name) => process.env[name]);
  return folders.flatMap((folder) => (folder ? [join(folder, file)] : []));
}

function installed() {
  const folders = (process.env["PATH"] ?? "").split(delimiter);
  const onPath = folders.flatMap((folder) => NAMES.map((name) => join(folder, name)));
  return [...onPath, ...(FIXED[process.platform] ?? [])].find(runs);
}

async function playwrightsOwn() {
  const { chromium } = await import("@playwright/test");
  const path = chromium.executablePath();
  return runs(path) ? path : undefined;
}

function byPlaywright() {
  const cli = join(root, "node_modules", "@playwright", "test", "cli.js");
  return attempt(process.execPath, [cli, "install", "chromium"], 240_000) ? playwrightsOwn() : undefined;
}

function byApt() {
  if (process.platform !== "linux" || process.getuid?.() !== 0) return undefined;
  const options = ["-o", "DPkg::Lock::Timeout=300", "-o", "Acquire::Retries=3"];
  const install = ["install", "-y", "-qq", "--no-install-recommends", "chromium", "fonts-dejavu-core"];
  const done =
    attempt("apt-get", [...options, "update", "-qq"], 180_000) &&
    attempt("apt-get", [...options, ...install], 420_000, { DEBIAN_FRONTEND: "noninteractive" });
  return done ? installed() : undefined;
}

async function byNpm() {
  if (process.platform !== "linux" || process.arch !== "x64") return undefined;
  const folder = join(root, ".cache", "browser");
  mkdirSync(folder, { recursive: true });
  const args = ["install", "--no-audit", "--no-fund", "--prefix", folder, "@sparticuz/chromium@143.0.4"];
  if (!attempt("npm", args, 300_000)) return undefined;
  process.env["TMPDIR"] = folder; // it unpacks into the temporary folder
  const shipped = join(folder, "node_modules", "@sparticuz", "chromium");
  const { default: chromium } = await import(pathToFileURL(join(shipped, "build", "esm", "index.js")).href);
  const path = await chromium.executablePath();
  if (runs(path)) return path;
  // Its own libraries, for a machine without NSS and NSPR.
  execFileSync("tar", ["-xf", "-", "-C", folder], {
    input: brotliDecompressSync(readFileSync(join(shipped, "bin", "al2023.tar.br"))),
  });
  const libraries = [join(folder, "lib"), process.env["LD_LIBRARY_PATH"]];
  process.env["LD_LIBRARY_PATH"] = libraries.filter((path) => path !== undefined).join(delimiter);
  return runs(path) ? path : undefined;
}

function runs(path) {
  if (!existsSync(path)) return false;
  try {
    accessSync(path, constants.X_OK);
    // On Windows asking for the version opens a window.
    if (process.platform !== "win32") execFileSync(path, ["--version"], { stdio: "ignore", timeout: 20_000 });
    return true;
  } catch {
    return false;
  }
}

function attempt(command, args, timeout, env = {}) {
  console.log(`Looking for a browser: ${command} ${args.join(" ")} …`);
  try {
    execFileSync(command, args, { stdio: ["ignore", "ignore", "inherit"], timeout, env: { ...process.env, ...env } });
    return true;
  } catch {
    return false; // the next way is tried; the last one says that none was left
  }
}
