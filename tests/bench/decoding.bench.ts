import { framePlan } from "../../decoders/frames/frameChecks.ts";
import { createSampleReader } from "../../decoders/frames/readSamples.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { createLive } from "../../decoders/live.ts";
import { captures, type Tuning } from "../../decoders/signal/captures.ts";
import type { HeardBurst } from "../../decoders/signal/heardBurst.ts";
import type { BurstLine } from "../../decoders/sources.ts";
import { frameBits, type RawByField } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { quantise } from "../../seeds/quantise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import { median } from "./median.ts";

const sampleRateHz = 1_024_000;
const widestHz = Math.max(...builtinLayouts.map(({ deviationHz = 0 }) => 2 * deviationHz));
const burstsALayout = 8;
const linesALayout = 1000;
const LEVELS_DB = [20, 12];

/**
 * What one burst costs, all layouts on: from samples to frames, by the layout that was sent and its Eb/N0, and from a
 * receiver's line to what is told of it, 20 ms after one another. Beside the time stands how often a plain loop could
 * have added up the power of a thousand samples meanwhile. Processor time of one thread, medians; what was read is
 * counted, since a burst that nothing reads costs more.
 *
 * @param options.draws Rounds; 9 by default.
 */
export default async function decoding({ seed, draws = 9 }: { seed: number; draws: number | undefined }) {
  const read = createSampleReader(builtinLayouts.map(framePlan));
  plainLoop(); // warms up
  console.log("microseconds a burst, and in plain loops over 1000 samples");
  for (const ebN0Db of LEVELS_DB) {
    for (const layout of builtinLayouts) {
      const heard = await burstsOf(layout, ebN0Db, seed);
      let frames = 0;
      const all = () => {
        frames = 0;
        for (const { burst, tuning } of heard) frames += read(burst, tuning).accepted.length;
      };
      const name = `samples, ${ebN0Db} dB, ${layout.id}`;
      show(name, measured(all, heard.length, draws), `${frames} frames in ${heard.length} bursts`);
    }
  }
  for (const layouts of [...builtinLayouts.map((layout) => [layout]), builtinLayouts]) {
    const lines = linesOf(layouts, seed);
    let telegrams = 0;
    const all = () => {
      const live = createLive("bench", builtinLayouts, 0);
      telegrams = 0;
      for (const line of lines) telegrams += live.push(line).filter(({ kind }) => kind === "telegram").length;
    };
    const cost = measured(all, lines.length, Math.min(draws, 5));
    const name = `lines, ${layouts.length === 1 ? layouts[0]!.id : "all in turn"}`;
    show(name, cost, `${Math.round(1 / cost.seconds)} bursts a second, ${telegrams} telegrams in ${lines.length}`);
  }
}

interface Cost {
  /** Of one burst. */
  readonly seconds: number;
  readonly plainLoops: number;
}

function measured(all: () => void, bursts: number, rounds: number): Cost {
  all(); // warms up
  all();
  const own: number[] = [];
  const plain: number[] = [];
  for (let round = 0; round < rounds; round++) {
    const began = cpuSeconds();
    all();
    const between = cpuSeconds();
    plainLoop();
    own.push((between - began) / bursts);
    plain.push((cpuSeconds() - between) / 1000);
  }
  return { seconds: median(own), plainLoops: median(own) / median(plain) };
}

function show(name: string, { seconds, plainLoops }: Cost, what: string): void {
  const figures = `${(seconds * 1e6).toFixed(0).padStart(7)} µs ${plainLoops.toFixed(0).padStart(7)} ×`;
  console.log(`${name.padEnd(34)} ${figures}   (${what})`);
}

const plainSamples = new Float32Array(2000).fill(0.5);

/** The power of a thousand samples, a thousand times. */
function plainLoop(): void {
  let power = 0;
  for (let round = 0; round < 1000; round++) {
    for (let i = 0; i < plainSamples.length; i++) power += plainSamples[i]! * plainSamples[i]!;
  }
  if (!(power > 0)) throw new Error("no power");
}

/** Bursts as the ear hands them over, one telegram each, off by up to 50 kHz. */
async function burstsOf(
  layout: Layout,
  ebN0Db: number,
  seed: number,
): Promise<{ burst: HeardBurst; tuning: Tuning }[]> {
  const heard: { burst: HeardBurst; tuning: Tuning }[] = [];
  for (let i = 0; i < burstsALayout; i++) {
    const { iq } = telegramSamples(layout, rawOf(layout, seed + i), {
      sampleRateHz,
      offsetHz: ((i * 37) % 101) * 1000 - 50_000,
      ebN0Db,
      seed: seed + i,
      leadSeconds: 0.2,
      tailSeconds: 0.2,
    });
    const bytes = quantise(Float64Array.from(iq), "cu8");
    const source = {
      kind: "samples",
      file: "bench",
      sampleType: "cu8",
      sampleRateHz,
      captures: [{ sampleStart: 0, carrierHz: layout.carrierHz[0]! }],
      blocks: [bytes],
    } as const;
    for await (const { bursts, tuning } of captures(source, widestHz)) {
      for (const burst of bursts) heard.push({ burst, tuning });
    }
  }
  return heard;
}

/** Lines without confidences, the layouts in turn. */
function linesOf(layouts: readonly Layout[], seed: number): BurstLine[] {
  return Array.from({ length: linesALayout }, (_, i) => {
    const layout = layouts[i % layouts.length]!;
    return {
      type: "burst",
      sequence: i,
      atSeconds: 0.02 * i,
      carrierHz: layout.carrierHz[0]!,
      offsetHz: undefined,
      modulation: layout.modulation,
      symbolRate: layout.symbolRate,
      symbols: Uint8Array.from(frameSymbols(layout, frameBits(layout, rawOf(layout, seed + i)))),
      confidence: undefined,
      rssiDbm: undefined,
      noiseDbm: undefined,
    };
  });
}

/** Values of every field that may be set, none of which needs its highest bit. */
function rawOf(layout: Layout, n: number): RawByField {
  const settable = layout.fields.filter(({ type }) => type !== "constant");
  return Object.fromEntries(
    settable.map((field) => [field.name, (BigInt(n + 1) * 2_654_435_761n) % 2n ** BigInt(field.bits - 1)]),
  );
}

/** Processor time that this process has used. */
function cpuSeconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}
