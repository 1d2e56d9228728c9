import { createHash } from "node:crypto";
import type { ResultInput, StudyFacts } from "./facts.ts";
import type { ResultFolder } from "./resultFolder.ts";
import { TABLES_VERSION } from "./schemaFile.ts";
import { STATISTICS_VERSION } from "./statisticsFile.ts";

/** Raised with any change by which a program that reads the file could stumble; see the README beside this file. */
const MANIFEST_VERSION = 1;

/**
 * Writes the manifest, after all else: what has to be the same for the same results to come out again, and the hash of each of them.
 *
 * An input is a line of its own, and no more than one is held as text.
 */
export async function writeManifest(folder: ResultFolder, facts: StudyFacts): Promise<void> {
  const file = await folder.open("manifest.json");
  const head = {
    kind: "wheelgram study manifest",
    version: MANIFEST_VERSION,
    formats: { tables: TABLES_VERSION, statistics: STATISTICS_VERSION },
    title: facts.title,
    tool: { name: "wheelgram", version: facts.toolVersion },
    dataSha256: dataHash(facts.inputs),
    settings: facts.settings,
    layouts: facts.layouts.map(({ layout, version, sha256 }) => ({ id: layout.id, version, sha256 })),
    files: folder.files(),
  };
  await file.write(`${JSON.stringify(head, null, 2).slice(0, -2)},\n  "inputs": [`);
  let lines: string[] = [];
  for (const [i, input] of facts.inputs.entries()) {
    lines.push(`${i === 0 ? "" : ","}\n    ${JSON.stringify(line(input))}`);
    if (lines.length < 1000) continue;
    await file.write(lines.join(""));
    lines = [];
  }
  await file.write(`${lines.join("")}\n  ]\n}\n`);
  await file.close();
}

/**
 * SHA-256, in hex, by which data are known: of a line for each input that was read, in order, with its hash, two blanks
 * and its name, each ended by a line feed.
 */
export function dataHash(inputs: readonly ResultInput[]): string {
  const hash = createHash("sha256");
  for (const input of inputs) if (input.hash !== null) hash.update(`${input.hash}  ${input.name}\n`);
  return hash.digest("hex");
}

function line({ index, name, hash, bytes, state, reason }: ResultInput) {
  return { input: index, name, sha512: hash, bytes, state, reason };
}
