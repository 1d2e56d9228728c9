import { open, readFile, rename, rm } from "node:fs/promises";
import type { Complaint } from "../decoders/layouts/complaint.ts";
import { type ParsedScenario, parseScenario } from "./scenario.ts";
import { SUFFIXES, scenarioFiles } from "./scenario-files.ts";

export type WrittenScenario =
  | { readonly ok: true; readonly files: readonly string[] }
  | { readonly ok: false; readonly complaints: readonly Complaint[] };

/**
 * Writes what a scenario file gives, each file under a `.partial` name until it is whole.
 *
 * @param outBase Path without ending; one of the endings that are written is taken off.
 * @returns The files written, in order, or the complaints about the scenario, when nothing is written.
 * @throws What the file system says, such as a scenario that is not there or a disk that is full.
 */
export async function writeScenario(scenarioPath: string, outBase: string): Promise<WrittenScenario> {
  const parsed = await readScenario(scenarioPath);
  if (!parsed.ok) return parsed;
  const base = withoutEnding(outBase);
  const files: string[] = [];
  for (const { suffix, blocks } of scenarioFiles(parsed.scenario)) {
    await writeWhole(base + suffix, blocks);
    files.push(base + suffix);
  }
  return { ok: true, files };
}

/** @throws What the file system says. */
export async function readScenario(scenarioPath: string): Promise<ParsedScenario> {
  const text = await readFile(scenarioPath, "utf8");
  let input: unknown;
  try {
    input = JSON.parse(text);
  } catch (error) {
    const found = error instanceof Error ? error.message : String(error);
    return { ok: false, complaints: [{ path: "", found, allowed: "JSON" }] };
  }
  return parseScenario(input);
}

async function writeWhole(path: string, blocks: Iterable<Uint8Array>): Promise<void> {
  const partial = `${path}.partial`;
  try {
    const file = await open(partial, "w");
    try {
      for (const block of blocks) await file.writeFile(block);
    } finally {
      await file.close();
    }
    await rename(partial, path);
  } catch (error) {
    await rm(partial, { force: true });
    throw error;
  }
}

function withoutEnding(outBase: string): string {
  const suffix = SUFFIXES.find((ending) => outBase.endsWith(ending));
  return suffix ? outBase.slice(0, -suffix.length) : outBase;
}
