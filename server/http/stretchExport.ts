import { readFile } from "node:fs/promises";
import type { Response } from "express";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { Annotation } from "../recordings/annotation.ts";
import { annotationCollector } from "../recordings/annotations.ts";
import { sampleBytes } from "../recordings/recording.ts";
import { writeStretchArchive } from "../recordings/stretchArchive.ts";
import { type Stretch, stretchMetadata } from "../recordings/stretchMetadata.ts";
import { failureSentence } from "../report/failureSentence.ts";
import { sensorId, telegramCells } from "../report/telegramCells.ts";
import type { StoredRecording } from "../store/store.ts";
import type { House } from "./house.ts";
import { recordingFiles, samplesOf } from "./recordingFiles.ts";

/** A mark that somebody set, by its name. */
export interface ExportedMark {
  readonly name: string;
  readonly atSample: number;
}

/**
 * Writes a recording, or a stretch of it, as a SigMF archive into the response: the samples, what it came with, the
 * notes, and what was found in it.
 *
 * @param stretch `undefined` for all of it.
 * @param name What the recording in the archive is called.
 */
export async function sendStretch(
  { store, folder, shelf }: Pick<House, "store" | "folder" | "shelf">,
  recording: StoredRecording,
  stretch: Stretch | undefined,
  {
    name,
    generator,
    marks,
  }: { readonly name: string; readonly generator: string; readonly marks: readonly ExportedMark[] },
  response: Response,
): Promise<void> {
  const { hash, sampleType, sampleCount, addedAt } = recording;
  const files = recordingFiles(folder, hash);
  const original = await readFile(files.original, "utf8");
  const notes = await store.notesOf(hash);
  const found = await burstMarks(store, recording, shelf.current(), generator);
  const set = marks.map(({ name: mark, atSample }) => ({
    "core:sample_start": atSample,
    "core:sample_count": 0,
    "core:label": `mark ${mark}`,
    "core:generator": generator,
    "wheelgram:mark": mark,
  }));
  const metadata = stretchMetadata(
    {
      recording,
      original,
      notes: notes.map(({ annotation }) => annotation),
      marks: [...found, ...set],
    },
    stretch,
  );
  const size = sampleBytes(sampleType);
  const { fromSample, toSample } = stretch ?? { fromSample: 0, toSample: sampleCount };
  const { path, fromByte } = samplesOf(folder, recording);
  const data = { path, from: fromByte + fromSample * size, to: fromByte + toSample * size };
  await writeStretchArchive(response, { name, data, metadata, at: new Date(addedAt) });
}

async function burstMarks(
  store: Pick<House["store"], "burstsOf" | "telegramsOf">,
  { hash, sampleRateHz, sampleCount, captures }: StoredRecording,
  layouts: readonly Layout[],
  generator: string,
): Promise<Annotation[]> {
  const byId = new Map(layouts.map((layout) => [layout.id, layout]));
  const tuned = captures.map(({ sampleStart, carrierHz }) => ({ sampleStart, carrierHz: carrierHz ?? undefined }));
  const collector = annotationCollector(
    { sampleRateHz, sampleCount, captures: tuned, firstIndex: 0 },
    {
      sensorId: (telegram) => sensorId(telegram, byId.get(telegram.layout)),
      // The first cell is the time in the recording, which is another one in a stretch.
      ofTelegram: (telegram) => telegramCells(telegram, byId.get(telegram.layout)).slice(1).filter(Boolean).join(", "),
      ofFailure: failureSentence,
      generator,
    },
  );
  for (const burst of await store.burstsOf(hash)) collector.take(burst);
  for (const { telegram } of await store.telegramsOf(hash)) collector.take(telegram);
  return collector.done();
}
