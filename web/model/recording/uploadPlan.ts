import type { SampleType } from "../../../decoders/sources.ts";
import { sizeWords } from "./listWords.ts";

/** What the plan needs to know of a file. */
export interface NamedFile {
  readonly name: string;
  readonly size: number;
}

/** A recording that can be sent as it is: its files' bytes, one after the other. */
export interface ReadyUpload<F extends NamedFile> {
  readonly name: string;
  readonly files: readonly F[];
  /** Of the two files of a SigMF recording: how many bytes of metadata come before the samples. */
  readonly metaBytes: number | undefined;
}

/** A file that does not say itself what it holds. A WAVE file lacks the carrier only. */
export interface AskingUpload<F extends NamedFile> {
  readonly file: F;
  readonly kind: "wave" | "raw";
}

export interface Refusal {
  readonly name: string;
  readonly because: string;
  readonly nextStep: string;
}

export interface UploadPlan<F extends NamedFile> {
  readonly ready: readonly ReadyUpload<F>[];
  readonly asking: readonly AskingUpload<F>[];
  readonly refused: readonly Refusal[];
}

/** What somebody told of a file that does not say it itself. */
export interface Told {
  readonly type?: SampleType;
  readonly rateHz?: number;
  readonly carrierHz?: number;
}

/** The server takes no more in one recording. */
export const MOST_BYTES = 16 * 2 ** 30;
/** From so many bytes on a recording is sent in pieces. */
export const IN_PIECES_BYTES = 8 * 2 ** 20;

/** Sorts files that were chosen or dropped: what can be sent, what has to be asked, what is refused and why. */
export function uploadPlan<F extends NamedFile>(files: readonly F[]): UploadPlan<F> {
  const ready: ReadyUpload<F>[] = [];
  const asking: AskingUpload<F>[] = [];
  const refused: Refusal[] = [];
  const halves = new Map<string, { readonly metas: F[]; readonly datas: F[] }>();
  const halvesOf = (base: string) => {
    const known = halves.get(base) ?? { metas: [], datas: [] };
    halves.set(base, known);
    return known;
  };
  for (const file of files) {
    const { base, ending } = endingOf(file.name);
    if (file.size === 0) refused.push(refusal(file, "is empty", "See that the recording was written to its end."));
    else if (ending === ".sigmf-meta") halvesOf(base).metas.push(file);
    else if (ending === ".sigmf-data") halvesOf(base).datas.push(file);
    else if (file.size > MOST_BYTES) refused.push(tooLarge(file.name, file.size));
    else if (ending === ".sigmf") ready.push({ name: base, files: [file], metaBytes: undefined });
    else if (WAVES.has(ending)) asking.push({ file, kind: "wave" });
    else if (NOT_SAMPLES[ending] !== undefined) refused.push(refusal(file, ...NOT_SAMPLES[ending]));
    else asking.push({ file, kind: "raw" });
  }
  for (const [base, { metas, datas }] of halves) {
    if (metas.length > 1 || datas.length > 1) {
      // From several folders: nothing tells which samples belong to which metadata.
      refused.push(...[...metas, ...datas].map((file) => refusal(file, ...SAME_NAME)));
      continue;
    }
    const [[meta], [data]] = [metas, datas];
    if (meta && data) {
      const bytes = meta.size + data.size;
      if (bytes > MOST_BYTES) refused.push(tooLarge(base, bytes));
      else ready.push({ name: base, files: [meta, data], metaBytes: meta.size });
    } else if (meta) {
      refused.push(refusal(meta, "came without its samples", `Choose it together with ${base}.sigmf-data.`));
    } else if (data) {
      refused.push(refusal(data, "came without its metadata", `Choose it together with ${base}.sigmf-meta.`));
    }
  }
  return { ready, asking, refused };
}

/** Where a recording is sent to; begins after `/api/v1`. */
export function uploadPath(name: string, metaBytes: number | undefined, told: Told = {}): string {
  const query = new URLSearchParams({ name });
  if (metaBytes !== undefined) query.set("metaBytes", String(metaBytes));
  if (told.type !== undefined) query.set("type", told.type);
  if (told.rateHz !== undefined) query.set("rate", String(told.rateHz));
  if (told.carrierHz !== undefined) query.set("carrier", String(told.carrierHz));
  return `/recordings?${query}`;
}

/** The sample type that a file's ending names, where it names one. */
export function typeGuess(name: string): SampleType | undefined {
  const ending = endingOf(name).ending;
  const guesses: Readonly<Record<string, SampleType>> = {
    ".cu8": "cu8",
    ".ci8": "ci8",
    ".ci16": "ci16_le",
    ".ci16_le": "ci16_le",
    ".cf32": "cf32_le",
    ".cf32_le": "cf32_le",
  };
  return guesses[ending];
}

const WAVES: ReadonlySet<string> = new Set([".wav", ".wave", ".rf64", ".bw64"]);

const NOT_SAMPLES: Readonly<Record<string, readonly [because: string, nextStep: string]>> = {
  ".ndjson": ["holds receiver lines, not samples", "Add it at Receivers, as a replay."],
  ".json": ["holds text, not samples", "If it is a layout, put it on the shelf at Layouts."],
  ".zip": ["is packed", "Unpack it, then choose the recording's own files."],
  ".gz": ["is packed", "Unpack it, then choose the recording's own files."],
  ".mp3": ["has lost what a decoder needs", "Choose the recording as it came from the receiver."],
};

const SAME_NAME = ["has the name of another one", "Choose the files of one recording at a time."] as const;

function endingOf(name: string): { readonly base: string; readonly ending: string } {
  const dot = name.lastIndexOf(".");
  return dot <= 0 ? { base: name, ending: "" } : { base: name.slice(0, dot), ending: name.slice(dot).toLowerCase() };
}

function refusal({ name }: NamedFile, because: string, nextStep: string): Refusal {
  return { name, because, nextStep };
}

function tooLarge(name: string, bytes: number): Refusal {
  return {
    name,
    because: `has ${sizeWords(bytes)}, and ${sizeWords(MOST_BYTES)} are taken at most`,
    nextStep: "Put it into the folder in-place and open it there, or cut it into parts.",
  };
}
