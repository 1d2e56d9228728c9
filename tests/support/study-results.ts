import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import { openLineFile } from "../../server/receivers/lineFile.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import type { DoneInput, ResultInput, ResultLayout, StudyFacts } from "../../server/study/results/facts.ts";

/** The layouts of the house, frozen. */
export const frozenLayouts: readonly ResultLayout[] = builtinLayouts.map((layout) => ({
  layout,
  version: null,
  sha256: createHash("sha256").update(JSON.stringify(layout)).digest("hex"),
}));

/** An input that is done; what a test cares about is given. */
export function resultInput(index: number, given: Partial<ResultInput> = {}): ResultInput {
  return {
    index,
    name: `recordings/${index}.sigmf-meta`,
    hash: createHash("sha512").update(String(index)).digest("hex"),
    bytes: 1000 + index,
    state: "done",
    reason: null,
    startedAt: null,
    sigmf: null,
    ...given,
  };
}

export function studyFacts(inputs: readonly ResultInput[], given: Partial<StudyFacts> = {}): StudyFacts {
  return {
    title: "A study",
    toolVersion: "0.0.0",
    layouts: frozenLayouts,
    settings: { rateHz: null },
    inputs,
    ...given,
  };
}

/** A study of the samples of the house, analysed here and now; one input was skipped and one failed. */
export async function studyOfSamples(folder: string): Promise<{ facts: StudyFacts; done: DoneInput[] }> {
  const names = readdirSync(folder)
    .filter((name) => /\.(sigmf-meta|ndjson)$/.test(name))
    .sort();
  const done: DoneInput[] = [];
  const inputs: ResultInput[] = [];
  for (const name of names) {
    const path = `${folder}/${name}`;
    const records = await recordsOf(path);
    done.push({ index: inputs.length, records: () => records });
    inputs.push(resultInput(inputs.length, name.endsWith(".sigmf-meta") ? sampleInput(path, name) : { name }));
  }
  inputs.push(resultInput(inputs.length, { name: "notes.txt", state: "skipped", reason: "it is no recording" }));
  inputs.push(resultInput(inputs.length, { name: "cut.wav", state: "failed", reason: "its header is cut off" }));
  return { facts: studyFacts(inputs, { title: "The samples" }), done };
}

async function recordsOf(path: string): Promise<AnalysisRecord[]> {
  const opened = path.endsWith(".ndjson") ? await openLineFile(path, () => undefined) : await openRecording(path);
  if (!opened.ok) throw opened.error;
  const records: AnalysisRecord[] = [];
  for await (const record of analyse(opened.value, builtinLayouts)) records.push(record);
  return records;
}

function sampleInput(path: string, name: string): Partial<ResultInput> {
  const bytes = readFileSync(path);
  const meta: { global: { "core:sha512": string }; captures: { "core:datetime"?: string }[] } = JSON.parse(
    bytes.toString(),
  );
  return {
    name,
    hash: meta.global["core:sha512"],
    startedAt: meta.captures[0]?.["core:datetime"] ?? null,
    sigmf: {
      name: name.slice(0, -".sigmf-meta".length),
      metadataHash: createHash("sha512").update(bytes).digest("hex"),
    },
  };
}
