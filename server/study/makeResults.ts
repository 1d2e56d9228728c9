import { mkdir, rename, rm } from "node:fs/promises";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { citation } from "./citation.ts";
import { studyFiles, syncFolder } from "./folder.ts";
import type { StudyInput } from "./input.ts";
import { recordsFile } from "./kept.ts";
import { readRecords } from "./records.ts";
import type { DoneInput, ResultInput, StudyFacts } from "./results/facts.ts";
import { writeResults } from "./results/writeResults.ts";
import type { StudySettings } from "./settings.ts";

export interface Studied {
  readonly folder: string;
  readonly settings: StudySettings;
  readonly layouts: readonly Layout[];
  readonly inputs: readonly StudyInput[];
}

/**
 * Writes the results of a study into its folder, all of them or none: half of them never stand under their name.
 *
 * @throws DOMException `AbortError` once it is aborted; what lies in `results.tmp` then is of no use.
 */
export async function makeResults(studied: Studied, signal: AbortSignal): Promise<void> {
  const { results, newResults } = studyFiles(studied.folder);
  await rm(newResults, { recursive: true, force: true });
  await mkdir(newResults);
  await writeResults(newResults, factsOf(studied), doneOf(studied, signal));
  signal.throwIfAborted();
  await syncFolder(newResults);
  await rename(newResults, results);
  await syncFolder(studied.folder);
}

function factsOf({ settings, layouts, inputs }: Studied): StudyFacts {
  return {
    title: settings.title,
    toolVersion: settings.toolVersion,
    settings,
    layouts: settings.layouts.flatMap(({ version, sha256 }, i) => {
      const layout = layouts[i];
      return layout ? [{ layout, version, sha256 }] : [];
    }),
    inputs: inputs.map(resultInput),
    citation: citation(settings, inputs),
  };
}

function resultInput(input: StudyInput): ResultInput {
  const file = input.name.slice(input.name.lastIndexOf("/") + 1);
  return {
    index: input.index,
    name: input.name,
    hash: input.hash ?? null,
    bytes: input.bytes ?? null,
    state: input.state,
    reason: input.because ?? input.remark ?? null,
    startedAt: input.startedAt ?? null,
    sigmf:
      input.metadataHash === undefined
        ? null
        : { name: file.replace(/\.sigmf-meta$/i, ""), metadataHash: input.metadataHash },
  };
}

function* doneOf({ folder, inputs }: Studied, signal: AbortSignal): Generator<DoneInput> {
  for (const input of inputs) {
    if (input.state !== "done") continue;
    const records = async function* () {
      for await (const record of readRecords(recordsFile(folder, input))) {
        signal.throwIfAborted();
        yield record;
      }
    };
    yield { index: input.index, records };
  }
}
