import type { BurstReading } from "./frames/burstReading.ts";
import { type Worth, withPartners } from "./frames/faintPartners.ts";
import { framePlan } from "./frames/frameChecks.ts";
import { createInterferers } from "./frames/interferers.ts";
import { readLine } from "./frames/readLine.ts";
import { createSampleReader } from "./frames/readSamples.ts";
import { createTimeline } from "./frames/timeline.ts";
import { type FileFigures, fileLadder, height } from "./ladder/fileLadder.ts";
import type { Layout } from "./layouts/schema.ts";
import type { AnalysisRecord, BurstRecord, Interferer, SummaryRecord, TelegramRecord } from "./records.ts";
import { captures, type Tuning } from "./signal/captures.ts";
import type { HeardBurst } from "./signal/heardBurst.ts";
import { roundingNoise } from "./signal/samples.ts";
import type { LineSource, SampleSource, Source } from "./sources.ts";

export interface AnalyseOptions {
  /** Milliseconds of any steady clock, handed in for `samplesPerSecond`. */
  readonly now?: () => number;
  /** Reads a burst of samples elsewhere, such as in another thread; here if left off. */
  readonly read?: (burst: HeardBurst, tuning: Tuning) => Promise<BurstReading>;
  /** How many bursts may be on their way to `read` before the next ones are listened for. */
  readonly mostReading?: number;
}

/**
 * Bursts, telegrams and a summary of one recording or of what a receiver said, in order of time.
 *
 * The main path: samples → bursts → keying and symbols → frames that obey a layout → telegrams with their copies
 * merged; and for every burst the check ladder, which tells how far it came. Memory does not grow with the source,
 * and how its bytes are cut into blocks changes nothing.
 *
 * @param layouts What is tried; ids must differ.
 * @throws RangeError where two layouts share an id. Whatever the source throws comes through.
 */
export async function* analyse(
  source: Source,
  layouts: readonly Layout[],
  options: AnalyseOptions = {},
): AsyncGenerator<AnalysisRecord, void, undefined> {
  const ids = new Set(layouts.map((layout) => layout.id));
  if (ids.size !== layouts.length) throw new RangeError("two layouts share an id");
  const tally = createTally(source.file, layouts);
  const records =
    source.kind === "samples" ? fromSamples(source, layouts, options, tally) : fromLines(source, layouts, tally);
  for await (const record of records) {
    tally.count(record);
    yield record;
  }
  yield tally.summary();
}

type Told = BurstRecord | TelegramRecord;

async function* fromSamples(
  source: SampleSource,
  layouts: readonly Layout[],
  options: AnalyseOptions,
  tally: Tally,
): AsyncGenerator<Told, void, undefined> {
  const plans = layouts.map(framePlan);
  const read = options.read ?? createSampleReader(plans);
  const timeline = createTimeline(source.file);
  const interferers = createInterferers();
  const widestHz = Math.max(0, ...layouts.map((layout) => 2 * (layout.deviationHz ?? 0)));
  const began = options.now?.();
  let figures: FileFigures | undefined;
  let samples = 0;
  for await (const { readings, settledSeconds, quiet, tuning } of readInTurn(
    withPartners(captures(source, widestHz), plans),
    read,
    options.mostReading ?? 1,
  )) {
    for (const reading of readings) {
      if (!reading.faint) interferers.hear(reading);
      if (!interferers.swallows(reading)) timeline.add(reading);
    }
    yield* timeline.settle(settledSeconds);
    if (!quiet) continue;
    samples += quiet.samples;
    interferers.tell(quiet, tuning);
    figures = combined(figures, {
      clippedShare: quiet.clippedSamples / Math.max(1, quiet.samples),
      noiseSteps: stepsOfNoise(source, quiet.noisePower),
      strongestDb: 10 * Math.log10(Math.max(quiet.strongest, 1e-3)),
      neededDb: 10 * Math.log10(quiet.needed),
    });
  }
  yield* timeline.end();
  const took = began === undefined ? undefined : (options.now?.() ?? began) - began;
  tally.close({
    seconds: samples / source.sampleRateHz,
    samplesPerSecond: took === undefined ? null : Math.round(samples / Math.max(took / 1000, 1e-6)),
    interferers: interferers.found(),
    figures,
  });
}

interface Read extends Omit<Worth, "bursts" | "waitingSeconds"> {
  readonly readings: readonly BurstReading[];
}

interface Waiting {
  readonly heard: Worth;
  readonly readings: readonly (BurstReading | Promise<BurstReading>)[];
  isRead: boolean;
}

/** What was heard, in its order, with its bursts read; at most so many of them are on their way at once. */
async function* readInTurn(
  heard: AsyncIterable<Worth>,
  read: (burst: HeardBurst, tuning: Tuning) => BurstReading | Promise<BurstReading>,
  most: number,
): AsyncGenerator<Read, void, undefined> {
  const waiting: Waiting[] = [];
  let onTheWay = 0;
  const next = async (): Promise<Read> => {
    const { heard, readings } = waiting.shift()!;
    onTheWay -= readings.length;
    const { quiet, tuning } = heard;
    // What waits for a partner may still take its place in the order of time.
    const settledSeconds = Math.min(heard.settledSeconds, heard.waitingSeconds);
    return { settledSeconds, quiet, tuning, readings: await Promise.all(readings) };
  };
  for await (const one of heard) {
    const readings = one.bursts.map((burst) => read(burst, one.tuning));
    // Who waits for an earlier one is told of this one's failure in its turn.
    for (const reading of readings) if (reading instanceof Promise) reading.catch(() => undefined);
    const last: Waiting = { heard: one, readings, isRead: readings.length === 0 };
    if (!last.isRead) {
      const read = () => {
        last.isRead = true;
      };
      Promise.all(readings).then(read, read);
    }
    waiting.push(last);
    onTheWay += readings.length;
    // What is read is told, or one burst in an hour of quiet would hold back all that quiet.
    while (waiting.length > 0 && (waiting[0]!.isRead || onTheWay >= most)) yield await next();
  }
  while (waiting.length > 0) yield await next();
}

/** Lines may come a little late against each other; older ones are told where they come. */
const LINE_SLACK_SECONDS = 5;
/** One that is older still comes after the receiver's clock was put back: time begins anew with it. */
const CLOCK_STEP_SECONDS = 60;

async function* fromLines(
  source: LineSource,
  layouts: readonly Layout[],
  tally: Tally,
): AsyncGenerator<Told, void, undefined> {
  const plans = layouts.map(framePlan);
  const timeline = createTimeline(source.file);
  let origin: number | undefined;
  let latest = 0; // since time last began anew
  let seconds = 0;
  for await (const line of source.lines) {
    if (!("atSeconds" in line)) continue;
    origin ??= line.atSeconds;
    const at = line.atSeconds - origin;
    if (at < latest - CLOCK_STEP_SECONDS) {
      yield* timeline.end();
      latest = at;
    }
    latest = Math.max(latest, at);
    seconds = Math.max(seconds, latest);
    if (line.type !== "burst") continue;
    const reading = readLine(line, origin, plans);
    latest = Math.max(latest, reading.figures.atSeconds + reading.figures.durationSeconds);
    seconds = Math.max(seconds, latest);
    timeline.add(reading);
    yield* timeline.settle(latest - LINE_SLACK_SECONDS);
  }
  yield* timeline.end();
  tally.close({ seconds, samplesPerSecond: null, interferers: [], figures: undefined });
}

interface Closing {
  readonly seconds: number;
  readonly samplesPerSecond: number | null;
  readonly interferers: readonly Interferer[];
  readonly figures: FileFigures | undefined;
}

interface Tally {
  count(record: Told): void;
  close(closing: Closing): void;
  summary(): SummaryRecord;
}

function createTally(file: string, layouts: readonly Layout[]): Tally {
  const identityOf = new Map(
    layouts.map((layout) => [layout.id, layout.fields.find((field) => field.type === "identity")?.name]),
  );
  let bursts = 0;
  let telegrams = 0;
  let best: BurstRecord | undefined;
  const sensors = new Set<string>();
  let closing: Closing = { seconds: 0, samplesPerSecond: null, interferers: [], figures: undefined };
  return {
    count(record) {
      if (record.kind === "burst") {
        bursts++;
        if (!best || height(record) > height(best)) best = record;
        return;
      }
      telegrams++;
      if (!record.verified) return;
      const identity = record.fields[identityOf.get(record.layout) ?? ""]?.value;
      if (typeof identity === "string") sensors.add(identity);
    },
    close(last) {
      closing = last;
    },
    summary() {
      return {
        kind: "summary",
        file,
        seconds: Number(closing.seconds.toFixed(6)),
        bursts,
        telegrams,
        sensors: [...sensors],
        samplesPerSecond: closing.samplesPerSecond,
        interferers: closing.interferers,
        rungs: fileLadder(best, closing.figures),
      };
    },
  };
}

function stepsOfNoise(source: SampleSource, noisePower: number): number | undefined {
  if (source.sampleType === "cf32_le") return undefined;
  // Rounding noise of I and Q together is a sixth of a step squared.
  const step = Math.sqrt(6 * roundingNoise(source.sampleType));
  return Math.sqrt(noisePower / 2) / step;
}

function combined(before: FileFigures | undefined, now: FileFigures): FileFigures {
  if (!before) return now;
  return {
    clippedShare: Math.max(before.clippedShare, now.clippedShare),
    noiseSteps: before.noiseSteps === undefined ? undefined : Math.min(before.noiseSteps, now.noiseSteps ?? 0),
    strongestDb: Math.max(before.strongestDb, now.strongestDb),
    neededDb: now.neededDb,
  };
}
