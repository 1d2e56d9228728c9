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

/** The lock file names most of them; older packages say it in a key of another time. */
function licenceOf(path, entry) {
  if (typeof entry.license === "string") return entry.license;
  try {
    const { license, licenses } = JSON.parse(readFileSync(join(top, path, "package.json"), "utf8"));
    return license?.type ?? license ?? licenses?.map(({ type }) => type).join(" OR ") ?? "unknown";
  } catch {
    return "unknown"; // not installed on this system
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  for (const { name, version, licence } of runtimePackages()) console.log(`${name}\t${version}\t${licence}`);
}
