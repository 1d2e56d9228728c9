import { REASONS, type ReasonCode } from "../../decoders/ladder/reasons.ts";
import {
  type AnalysisRecord,
  type BurstRecord,
  RUNGS,
  type Rung,
  type SummaryRecord,
  type TelegramRecord,
} from "../../decoders/records.ts";

// Records as `analyse` gives them, made up: what a test cares about is given.

/** A burst that was read; or one that stopped for a reason, where its rungs are given. */
export function burstRecord(index: number, given: Partial<BurstRecord> = {}): BurstRecord {
  return {
    kind: "burst",
    index,
    file: "a.sigmf-meta",
    atSeconds: index / 2,
    durationSeconds: 0.01,
    carrierHz: 433_920_000,
    modulation: "fsk",
    deviationHz: 35_000,
    symbolRate: 19_200,
    symbolRateUncertainty: 1,
    snrDb: 20,
    levelDbfs: -20,
    clipped: false,
    outcome: "telegram",
    layout: "pilot-car",
    symbols: "aa",
    symbolCount: 8,
    rungs: ladder(),
    ...given,
  };
}

/** A burst that stopped for a reason. */
export function stoppedBurst(index: number, reason: ReasonCode, given: Partial<BurstRecord> = {}): BurstRecord {
  return burstRecord(index, { outcome: REASONS[reason].rung, layout: null, rungs: ladder(reason), ...given });
}

/** All rungs passed, or all below the one that was missed. */
export function ladder(missed?: ReasonCode): Rung[] {
  const at = missed === undefined ? RUNGS.length : RUNGS.indexOf(REASONS[missed].rung);
  return RUNGS.map((rung, i) => ({
    rung,
    passed: i === at ? false : i < at ? true : null,
    reason: i === at ? (missed ?? "") : `${rung}-as-it-was`,
    because: i === at ? `it is "${missed}", so to say` : "fine",
    measured: i === at ? 1.5 : null,
    needed: i === at ? 6 : null,
    unit: i === at ? "dB" : null,
    nextStep: null,
  }));
}

export function telegramRecord(given: Partial<TelegramRecord> = {}): TelegramRecord {
  return {
    kind: "telegram",
    file: "a.sigmf-meta",
    burst: 0,
    repeats: [0],
    layout: "pilot-car",
    atSeconds: 0,
    carrierHz: 433_920_000,
    bits: "3a51c0de",
    bitCount: 32,
    verified: true,
    repairedBits: 0,
    falseAcceptProbability: 0.001,
    uncheckedBits: 0,
    snrDb: 20,
    fields: { sensor: { raw: 978436318, value: "3a51c0de", unit: null, plausible: true } },
    ...given,
  };
}

export function summaryRecord(given: Partial<SummaryRecord> = {}): SummaryRecord {
  return {
    kind: "summary",
    file: "a.sigmf-meta",
    seconds: 10,
    bursts: 1,
    telegrams: 1,
    sensors: ["3a51c0de"],
    samplesPerSecond: null,
    interferers: [],
    rungs: ladder(),
    ...given,
  };
}

/** What a recording of one sensor tells that sends again and again, each time with a second copy. */
export function* talkingSensor(telegrams: number, gapSeconds = 1): Generator<AnalysisRecord> {
  for (let i = 0; i < telegrams; i++) {
    const atSeconds = i * gapSeconds;
    yield burstRecord(2 * i, { atSeconds });
    yield telegramRecord({ burst: 2 * i, repeats: [2 * i, 2 * i + 1], atSeconds });
    yield burstRecord(2 * i + 1, { atSeconds: atSeconds + 0.06, outcome: "repeat" });
  }
  yield summaryRecord({ bursts: 2 * telegrams, telegrams });
}
