import fc from "fast-check";
import { RUNGS, type RungName } from "../../decoders/records.ts";
import type {
  BurstBody,
  RecordingBody,
  SignalBody,
  StoredTelegramBody,
  SummaryBody,
  TelegramBody,
} from "../../server/http/wire.ts";
import { type Frame, framesOf } from "../../web/model/recording/frames.ts";

/** A burst as the server gives it, of a hundredth of a second, read where nothing else is asked for. */
export function burst(index: number, atSeconds: number, more: Partial<BurstBody> = {}): BurstBody {
  return {
    kind: "burst",
    index,
    file: "",
    atSeconds,
    durationSeconds: 0.01,
    carrierHz: 433_925_000,
    modulation: "fsk",
    deviationHz: 35_000,
    symbolRate: 19_200,
    symbolRateUncertainty: 5,
    snrDb: 20,
    levelDbfs: -30,
    clipped: false,
    outcome: "telegram",
    layout: null,
    symbols: null,
    symbolCount: 0,
    rungs: rungs(undefined),
    ...more,
  };
}

/** The telegram of some bursts, verified where nothing else is asked for. */
export function telegram(
  repeats: readonly number[],
  identity: string | null = "3a51c0de",
  more: Partial<TelegramBody> = {},
): StoredTelegramBody {
  return {
    id: `t${repeats.join("-")}-${identity}`,
    revision: 1,
    at: "2026-11-25T09:00:00.000000Z",
    receiverId: null,
    recordingHash: "0".repeat(128),
    identity,
    telegram: {
      kind: "telegram",
      file: "",
      burst: repeats[0] ?? 0,
      repeats: [...repeats],
      layout: "pilot-car",
      atSeconds: 0,
      carrierHz: 433_925_000,
      bits: "00",
      bitCount: 8,
      verified: true,
      repairedBits: 0,
      falseAcceptProbability: 1e-6,
      uncheckedBits: 0,
      snrDb: 20,
      fields: {},
      ...more,
    },
  };
}

/** A ladder that is climbed to the first missed rung, or to the top. */
export function rungs(missed: RungName | undefined): BurstBody["rungs"] {
  const at = missed === undefined ? RUNGS.length : RUNGS.indexOf(missed);
  return RUNGS.map((rung, i) => ({
    rung,
    passed: i < at ? true : i === at ? false : null,
    reason: "x",
    because: i === at ? `The ${rung} is not as it should be.` : i < at ? `The ${rung} is good.` : "It was not reached.",
    measured: null,
    needed: null,
    unit: null,
    nextStep: i === at ? `Do something about the ${rung}.` : null,
  }));
}

export function summary(more: Partial<SummaryBody> = {}): SummaryBody {
  return {
    kind: "summary",
    file: "",
    seconds: 2,
    bursts: 0,
    telegrams: 0,
    sensors: [],
    samplesPerSecond: null,
    interferers: [],
    rungs: [],
    ...more,
  };
}

/** A recording of two seconds, analysed where nothing else is asked for. */
export function recording(more: Partial<RecordingBody> = {}): RecordingBody {
  return {
    hash: "0".repeat(128),
    name: "bay",
    sampleType: "ci16_le",
    sampleRateHz: 1e6,
    sampleCount: 2e6,
    seconds: 2,
    captures: [{ sampleStart: 0, carrierHz: 433_920_000 }],
    addedAt: "2026-11-25T09:00:00.000000Z",
    sample: false,
    analysis: { state: "done", because: null, progress: 1 },
    summary: summary(),
    ...more,
  };
}

/** Columns of a level from `fromSeconds` on; the least of each is a tenth of its most. */
export function signal(most: readonly number[], fromSeconds = 0, toSeconds = 1): SignalBody {
  return { fromSeconds, toSeconds, columns: most.length, least: most.map((level) => level / 10), most: [...most] };
}

/**
 * Bursts and telegrams as one recording may hold them: copies, failures, bursts in several telegrams, telegrams without
 * an identity or without proof, in any order.
 */
export const records: fc.Arbitrary<{ bursts: BurstBody[]; telegrams: StoredTelegramBody[] }> = fc
  .record({
    bursts: fc.array(
      fc.record({
        atSeconds: fc.double({ min: 0, max: 9.9, noNaN: true }),
        durationSeconds: fc.double({ min: 1e-4, max: 0.1, noNaN: true }),
        missed: fc.constantFrom(...RUNGS),
      }),
      { maxLength: 25 },
    ),
    telegrams: fc.array(
      fc.record({
        of: fc.array(fc.nat(24), { minLength: 1, maxLength: 4 }),
        identity: fc.constantFrom("3a51c0de", "3a51bb04", null),
        verified: fc.boolean(),
      }),
      { maxLength: 8 },
    ),
  })
  .map(({ bursts, telegrams }) => {
    const told = telegrams
      .map(({ of, identity, verified }, i) => {
        const repeats = [...new Set(of)].filter((index) => index < bursts.length).toSorted((a, b) => a - b);
        return { ...telegram(repeats, identity, { verified }), id: `t${i}` };
      })
      .filter((stored) => stored.telegram.repeats.length > 0);
    const read = new Set(told.flatMap((stored) => stored.telegram.repeats));
    return {
      telegrams: told,
      bursts: bursts.map(({ missed, ...air }, index) =>
        burst(index, air.atSeconds, {
          ...air,
          outcome: read.has(index) ? "telegram" : missed,
          rungs: rungs(read.has(index) ? undefined : missed),
        }),
      ),
    };
  });

/** The frames of such a recording, ten seconds long. */
export const drawnFrames: fc.Arbitrary<Frame[]> = records.map(({ bursts, telegrams }) => framesOf(bursts, telegrams));
