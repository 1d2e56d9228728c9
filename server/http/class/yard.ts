import { chance, uniform } from "../../../seeds/noise.ts";
import type { ScenarioFile } from "../../../seeds/scenario-shape.ts";

/** A yard of senders that do not listen to each other. */
export interface Yard {
  readonly sensors: number;
  readonly periodSeconds: number;
  readonly telegramMs: number;
  readonly seconds: number;
  /** A telegram goes out so often, each copy at a moment of its own. */
  readonly copies: number;
  /** The loudest sensor is up to this much above the weakest. */
  readonly levelSpreadDb: number;
  /** `varied`: each pause is another one; `strict`: all are the same, but for the clocks. */
  readonly timing: "varied" | "strict";
  readonly seed: number;
}

const YARD_CARRIER_HZ = 433_920_000;
const SAMPLE_RATE_HZ = 250_000;
/** Of the weakest sensor: alone, each is read without a doubt. */
const LEAST_EBN0_DB = 24;
/** By how much a pause differs at most, as a share of it. */
const VARIED_BY = 0.5;
/** So long chance runs before the recording begins, that it does not show how it began. */
const RUN_IN_PERIODS = 20;
const CARRIERS_APART_HZ = 12_000;
const CLOCKS_PPM = 60;
const MARGIN_SECONDS = 0.02;
const LAYOUT_ID = "class-yard";
const PREAMBLE = { symbols: "10", repeat: 16 };
const SYNC = "1110001011010010";
const BITS = 56;
const SYMBOLS = PREAMBLE.symbols.length * PREAMBLE.repeat + SYNC.length + 2 * BITS;
const STREAM = 7;

/** How many telegrams, each with all its copies, the sensors together begin. */
export function sendsOf({ sensors, seconds, periodSeconds }: Pick<Yard, "sensors" | "seconds" | "periodSeconds">) {
  return (sensors * seconds) / periodSeconds;
}

/** The yard as a scenario: who sends when, how loud, on which carrier; what chance decides comes from its seed. */
export function yardScenario(yard: Yard): ScenarioFile {
  const random = chance(yard.seed, STREAM);
  const between = (least: number, most: number) => least + uniform(random) * (most - least);
  return {
    title: "A yard in which nobody listens before sending",
    seed: yard.seed,
    durationSeconds: yard.seconds,
    startsAt: "2026-03-02T08:15:00Z",
    receiver: {
      name: "yard receiver",
      sampleRateHz: SAMPLE_RATE_HZ,
      sampleType: "cf32_le",
      noiseDbfs: -60,
      tunings: [{ fromSeconds: 0, carrierHz: YARD_CARRIER_HZ }],
    },
    layouts: [{ layout: yardLayout(yard.telegramMs) }],
    sensors: Array.from({ length: yard.sensors }, (_, i) => ({
      name: `sensor ${i + 1}`,
      layout: LAYOUT_ID,
      identity: (FIRST_IDENTITY + i).toString(16),
      carrierHz: YARD_CARRIER_HZ,
      offsetHz: Math.round(between(-CARRIERS_APART_HZ, CARRIERS_APART_HZ)),
      clockPpm: Math.round(between(-CLOCKS_PPM, CLOCKS_PPM)),
      level: { ebN0Db: LEAST_EBN0_DB + between(0, yard.levelSpreadDb) },
      sends: moments(yard, () => uniform(random)).map((atSeconds, n) => ({
        atSeconds,
        copies: 1,
        values: { number: Math.floor(n / yard.copies) },
      })),
    })),
    outputs: ["recording"],
  };
}

const FIRST_IDENTITY = 0x5a0c00;

/** When a sensor's copies begin, wholly within the recording, none over the one before. */
function moments(yard: Yard, random: () => number): number[] {
  const burst = yard.telegramMs / 1000;
  const period = yard.periodSeconds / yard.copies;
  const strictAs = 1 + (2 * random() - 1) * CLOCKS_PPM * 1e-6;
  const pause = () => (yard.timing === "strict" ? period * strictAs : period * (1 + VARIED_BY * (2 * random() - 1)));
  const found: number[] = [];
  let at = MARGIN_SECONDS + (random() - RUN_IN_PERIODS) * period;
  for (; at < yard.seconds - burst - MARGIN_SECONDS; at += pause()) {
    if (at >= MARGIN_SECONDS) found.push(Math.round(at * 1e7) / 1e7);
  }
  // A telegram of which some copies would fall behind the end is not begun.
  return found.slice(0, found.length - (found.length % yard.copies));
}

/** Invented for this page: as long as is asked for. */
function yardLayout(telegramMs: number): object {
  return {
    id: LAYOUT_ID,
    title: "A telegram of the length that a class chose",
    origin: "invented",
    carrierHz: [YARD_CARRIER_HZ],
    modulation: "fsk",
    deviationHz: 35_000,
    symbolRate: (1000 * SYMBOLS) / telegramMs,
    lineCode: "manchester-ieee",
    preamble: PREAMBLE,
    sync: { symbols: SYNC },
    bits: BITS,
    fields: [
      { name: "sensor", at: 0, bits: 24, type: "identity" },
      { name: "number", at: 24, bits: 16, type: "unsigned", quantity: "count", means: "counter" },
    ],
    checks: [
      {
        kind: "crc",
        width: 16,
        poly: "0x1021",
        init: "0xffff",
        refin: false,
        refout: false,
        xorout: "0x0",
        covers: [[0, 40]],
        at: 40,
      },
    ],
  };
}
