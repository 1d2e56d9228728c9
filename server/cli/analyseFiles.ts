import { availableParallelism } from "node:os";
import { analyse } from "../../decoders/analyse.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import type { LineSource, SampleType } from "../../decoders/sources.ts";
import { openLineFile } from "../receivers/lineFile.ts";
import { annotationCollector, firstIndexOf } from "../recordings/annotations.ts";
import { InputError, printable } from "../recordings/inputError.ts";
import { openRecording } from "../recordings/openRecording.ts";
import { type Recording, sampleBytes } from "../recordings/recording.ts";
import { fail, type Result } from "../recordings/result.ts";
import { writeAnnotated } from "../recordings/writeAnnotated.ts";
import { answer } from "../report/answer.ts";
import { failureSentence } from "../report/failureSentence.ts";
import { hear, newHeard } from "../report/heard.ts";
import { sensorId, telegramCells } from "../report/telegramCells.ts";
import { collectHere } from "../work/collector.ts";
import { createPool } from "../work/pool.ts";
import type { Desk, Status } from "./desk.ts";
import { createProgress, type Progress } from "./progress.ts";
import { readLayouts } from "./readLayouts.ts";
import { isTerminal } from "./streams.ts";
import { untilInterrupted } from "./untilInterrupted.ts";
import { VERSION } from "./version.ts";

export interface AnalyseArguments {
  readonly layouts?: readonly string[];
  readonly onlyLayouts?: boolean;
  readonly json?: boolean;
  readonly annotate?: boolean;
  readonly type?: SampleType;
  readonly rate?: number;
  readonly carrier?: number;
  readonly workers?: number;
}

/** Reading by several threads pays from about this many bytes on; each begins with a fraction of a second of its own. */
const LONG_BYTES = 64 * 2 ** 20;
/** More threads than this wait for the one that listens. */
const MOST_BY_ITSELF = 4;
/** Bursts on their way to each thread. */
const BURSTS_A_WORKER = 4;

/**
 * `wheelgram analyse FILE...`: every file in turn, also after one that cannot be read.
 *
 * @returns 130 if interrupted; else 2 if a file could not be read; else 1 if a line could not; else 0.
 */
export async function analyseFiles(desk: Desk, files: readonly string[], given: AnalyseArguments): Promise<Status> {
  const { layouts: paths = [], onlyLayouts = false } = given;
  if (onlyLayouts && paths.length === 0) {
    desk.complain(
      "wheelgram: --only-layouts: found no --layouts, allowed with at least one; see wheelgram analyse --help",
    );
    return 2;
  }
  const layouts = await readLayouts(paths, onlyLayouts);
  if (!layouts.ok) {
    desk.complain(layouts.error.message);
    return 2;
  }
  collectHere();
  let worst: Status = 0;
  for (const [i, file] of files.entries()) {
    const heading = files.length > 1 ? { file: printable(file), isFirst: i === 0 } : undefined;
    const status = await analyseFile(desk, file, given, layouts.value, heading);
    if (status === 130) return status;
    if (status > worst) worst = status;
  }
  return worst;
}

interface Heading {
  readonly file: string;
  readonly isFirst: boolean;
}

async function analyseFile(
  desk: Desk,
  path: string,
  given: AnalyseArguments,
  layouts: readonly Layout[],
  heading: Heading | undefined,
): Promise<Status> {
  let status: Status = 0;
  const source = await openSource(desk, path, given, () => {
    status = 1;
  });
  if (!source.ok) {
    desk.complain(source.error.message);
    return 2;
  }
  const heard = newHeard(layouts);
  const marks = given.annotate && source.value.kind === "samples" ? collectorFor(source.value, layouts) : undefined;
  const progress = progressOn(desk, source.value, given);
  const workers = workersFor(source.value, given);
  const pool = workers > 1 ? createPool(workers) : undefined;
  const readers = pool?.bursts(layouts);
  let stopped = false;
  try {
    const records = analyse(progress?.recording ?? source.value, layouts, {
      now: () => performance.now(),
      ...(readers ? { read: readers.read, mostReading: BURSTS_A_WORKER * workers } : {}),
    });
    for await (const record of untilInterrupted(records, desk.streams.interrupted)) {
      if (record === "interrupted") {
        stopped = true;
        status = 130;
        break;
      }
      if (record.kind === "telegram") progress?.telegram();
      if (given.json) await desk.write(jsonLine(record));
      else hear(heard, record);
      if (record.kind !== "summary") marks?.take(record);
    }
  } catch (error) {
    progress?.clear();
    if (!(error instanceof InputError)) throw error;
    desk.complain(error.message);
    stopped = true;
    status = 2;
    if (heard.burstCount === 0) return status;
  } finally {
    readers?.close();
    await pool?.stop();
  }
  progress?.clear();
  if (!given.json) {
    const gap = heading && !heading.isFirst ? "\n" : "";
    await desk.write(gap + answer(heard, { file: heading?.file, stopped }));
  }
  progress?.end();
  if (stopped || !marks || source.value.kind !== "samples") return status;
  const written = await writeAnnotated(source.value, marks.done(), given.carrier);
  desk.complain(written.ok ? `annotated: ${written.value}` : written.error.message);
  return written.ok ? status : 1;
}

/** How many threads read the bursts of it; with 1 it is done without any but this one. */
function workersFor(source: Recording | LineSource, { workers }: AnalyseArguments): number {
  if (source.kind !== "samples") return 1;
  // A stream may fall silent, and what it brought has to be told by then.
  if (source.sampleCount === undefined) return 1;
  if (workers !== undefined) return workers;
  return source.sampleCount * sampleBytes(source.sampleType) < LONG_BYTES
    ? 1
    : Math.min(MOST_BY_ITSELF, availableParallelism());
}

/** Nobody reads it in a file, and records that are written to the same terminal would be cut up by it. */
function progressOn(desk: Desk, source: Recording | LineSource, { json }: AnalyseArguments): Progress | undefined {
  const { stdout, stderr } = desk.streams;
  if (source.kind !== "samples" || !isTerminal(stderr) || (json && isTerminal(stdout))) return undefined;
  return createProgress(source, stderr, () => performance.now());
}

/** @param onBadLine Called for each line of a file of receiver lines that does not fit. */
export async function openSource(
  desk: Desk,
  path: string,
  given: Pick<AnalyseArguments, "type" | "rate" | "carrier" | "annotate">,
  onBadLine: () => void,
): Promise<Result<Recording | LineSource, InputError>> {
  const isLines = path.toLowerCase().endsWith(".ndjson");
  if (given.annotate && (isLines || path === "-")) {
    return fail(
      new InputError(
        path === "-" ? "standard input" : path,
        "--annotate",
        isLines ? "receiver lines" : "a stream",
        "a recording in a file",
      ),
    );
  }
  if (isLines && (given.type !== undefined || given.rate !== undefined)) {
    return fail(new InputError(path, given.type ? "--type" : "--rate", "receiver lines", "a file of raw samples"));
  }
  if (!isLines) {
    const hints = { type: given.type, rateHz: given.rate, carrierHz: given.carrier };
    return openRecording(path, hints, desk.streams.stdin);
  }
  return openLineFile(path, (line) => {
    desk.complain(line);
    onBadLine();
  });
}

function collectorFor(recording: Recording, layouts: readonly Layout[]) {
  const byId = new Map(layouts.map((layout) => [layout.id, layout]));
  return annotationCollector(
    { ...recording, firstIndex: firstIndexOf(recording) },
    {
      sensorId: (telegram) => sensorId(telegram, byId.get(telegram.layout)),
      ofTelegram: (telegram) => telegramCells(telegram, byId.get(telegram.layout)).filter(Boolean).join(", "),
      ofFailure: failureSentence,
      generator: `wheelgram ${VERSION}`,
    },
  );
}

function jsonLine(record: AnalysisRecord): string {
  return `${JSON.stringify(record)}\n`;
}
