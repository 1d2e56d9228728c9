import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const top = join(dirname(fileURLToPath(import.meta.url)), "..");

/**
 * Every package that is installed to run the server, by the lock file: name, version and licence.
 *
 * @returns {readonly { readonly name: string, readonly version: string, readonly licence: string }[]}
 */
export function runtimePackages() {
  const { packages } = JSON.parse(readFileSync(join(top, "package-lock.json"), "utf8"));
  const found = [];
  for (const [path, entry] of Object.entries(packages)) {
    if (!path.startsWith("node_modules/") || entry.link || entry.dev || entry.devOptional) continue;
    const name = path.slice(path.lastIndexOf("node_modules/") + "node_modules/".length);
    found.push({ name, version: entry.version, licence: licenceOf(path, entry) });
  }
  return found.toSorted((a, b) => (a.name < b.name ? -1 : 1));
}

/** The lock file names most of them; older packages say it in a key of another time, and some in their licence's text alone. */
function licenceOf(path, entry) {
  if (typeof entry.license === "string") return entry.license;
  try {
    const { license, licenses } = JSON.parse(readFileSync(join(top, path, "package.json"), "utf8"));
    const named = license?.type ?? license ?? licenses?.map(({ type }) => type).join(" OR ");
    return named ?? licenceOfText(readFileSync(join(top, path, "LICENSE"), "utf8"));
  } catch {
    return "unknown"; // not installed on this system, or without a text
  }
}

/** By the title and the grant, as they stand in the text itself. */
function licenceOfText(text) {
  const isMit =
    /^MIT License\b/.test(text.trimStart()) && text.includes("Permission is hereby granted, free of charge");
  return isMit ? "MIT" : "unknown";
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  for (const { name, version, licence } of runtimePackages()) console.log(`${name}\t${version}\t${licence}`);
}
