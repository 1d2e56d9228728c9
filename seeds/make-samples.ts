import { readdir, readFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { complaintLine } from "../decoders/layouts/complaint.ts";
import { scenarioFiles } from "./scenario-files.ts";
import { readScenario, writeScenario } from "./write.ts";

const seedsFolder = fileURLToPath(new URL(".", import.meta.url));
const samplesFolder = fileURLToPath(new URL("../samples/", import.meta.url));

/**
 * Names of the sample files that are not what the scenarios give: different, missing, or of no scenario. Nothing is
 * written.
 */
export async function staleSamples(): Promise<string[]> {
  const stale: string[] = [];
  const known = new Set(["README.md"]);
  for (const path of await scenarioPaths()) {
    const parsed = await readScenario(path);
    if (!parsed.ok) throw new Error(`${path}: ${parsed.complaints.map(complaintLine).join("; ")}`);
    for (const { suffix, blocks } of scenarioFiles(parsed.scenario)) {
      const name = basename(path, ".json") + suffix;
      known.add(name);
      const bytes = Buffer.concat([...blocks]);
      if (!(await isThere(join(samplesFolder, name), bytes))) stale.push(name);
    }
  }
  const others = (await readdir(samplesFolder)).filter((name) => !known.has(name));
  return [...stale, ...others].sort();
}

/** The scenarios of this folder, ascending by name. */
export async function scenarioPaths(): Promise<string[]> {
  const names = (await readdir(seedsFolder)).filter((name) => name.endsWith(".json"));
  return names.sort().map((name) => join(seedsFolder, name));
}

async function isThere(path: string, bytes: Buffer): Promise<boolean> {
  try {
    return bytes.equals(await readFile(path));
  } catch (error) {
    if (error instanceof Error && "code" in error && error.code === "ENOENT") return false;
    throw error;
  }
}

async function writeSamples(): Promise<void> {
  for (const path of await scenarioPaths()) {
    const written = await writeScenario(path, join(samplesFolder, basename(path, ".json")));
    if (!written.ok) throw new Error(`${path}: ${written.complaints.map(complaintLine).join("; ")}`);
    process.stdout.write(`${written.files.map((file) => basename(file)).join(" ")}\n`);
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  if (process.argv.includes("--check")) {
    const stale = await staleSamples();
    for (const name of stale) process.stderr.write(`samples/${name} is not what its scenario gives\n`);
    process.exitCode = stale.length > 0 ? 1 : 0;
  } else await writeSamples();
}
