import type { BurstRecord, SummaryRecord, TelegramRecord } from "../../decoders/records.ts";
import type {
  StoredBurst,
  StoredJob,
  StoredLine,
  StoredNote,
  StoredReceiver,
  StoredRecording,
  StoredTelegram,
} from "../../server/store/store.ts";

// Things to keep in a store, each whole and plain; what a test is about it changes.

export const HASH = "a".repeat(128);
export const OTHER_HASH = "b".repeat(128);
export const DAY = "2026-11-25T09:00:00.000000Z";

/** A time of that day, so many seconds after nine. */
export function at(seconds: number): string {
  return `2026-11-25T09:${String(Math.floor(seconds / 60)).padStart(2, "0")}:${(seconds % 60).toFixed(6).padStart(9, "0")}Z`;
}

export const receiver = (id: string, change: Partial<StoredReceiver> = {}): StoredReceiver => ({
  id,
  name: `receiver ${id}`,
  kind: "tcp",
  path: null,
  baudRate: null,
  port: 7433,
  speed: null,
  keyHash: null,
  addedAt: DAY,
  ...change,
});

export const line = (sequence: number, change: Partial<StoredLine> = {}): StoredLine => ({
  boot: "b1",
  sequence,
  receivedAt: at(sequence % 60),
  text: `{"type":"level","sequence":${sequence}}`,
  ...change,
});

export const recording = (hash: string, change: Partial<StoredRecording> = {}): StoredRecording => ({
  hash,
  name: "bay.sigmf-meta",
  sampleType: "ci8",
  sampleRateHz: 250000,
  sampleCount: 500000,
  captures: [
    { sampleStart: 0, carrierHz: 433920000 },
    { sampleStart: 250000, carrierHz: null },
  ],
  startedAt: "2026-03-02T09:40:12.250000Z",
  addedAt: DAY,
  sample: false,
  analysis: { state: "waiting", because: null, progress: 0 },
  summary: null,
  ...change,
});

export const telegramRecord = (change: Partial<TelegramRecord> = {}): TelegramRecord => ({
  kind: "telegram",
  file: "bay",
  burst: 0,
  repeats: [0],
  layout: "pilot-car",
  atSeconds: 0.25,
  carrierHz: 433918000,
  bits: "3a51c0de",
  bitCount: 32,
  verified: true,
  repairedBits: 0,
  falseAcceptProbability: 1e-12,
  uncheckedBits: 0,
  snrDb: 21.5,
  fields: { sensor: { raw: 978436318, value: "3a51c0de", unit: null, plausible: true } },
  ...change,
});

export const telegram = (id: string, change: Partial<StoredTelegram> = {}): StoredTelegram => ({
  id,
  revision: 1,
  at: DAY,
  on: { receiverId: "r1" },
  identity: "3a51c0de",
  telegram: telegramRecord(),
  ...change,
});

export const burstRecord = (index: number): BurstRecord => ({
  kind: "burst",
  index,
  file: "bay",
  atSeconds: index / 4,
  durationSeconds: 0.01,
  carrierHz: 433918000.5,
  modulation: "fsk",
  deviationHz: 35000,
  symbolRate: 19200,
  symbolRateUncertainty: null,
  snrDb: 18,
  levelDbfs: -30,
  clipped: false,
  outcome: "sync",
  layout: null,
  symbols: "aa",
  symbolCount: 8,
  rungs: [],
});

export const heardBurst = (id: string, index: number): StoredBurst => ({
  id,
  at: at(index),
  on: { receiverId: "r1" },
  burst: burstRecord(index),
});

export const summary: SummaryRecord = {
  kind: "summary",
  file: "bay",
  seconds: 2,
  bursts: 2,
  telegrams: 1,
  sensors: ["3a51c0de"],
  samplesPerSecond: null,
  interferers: [],
  rungs: [],
};

export const note = (id: string, startSample: number, label = "odd one"): StoredNote => ({
  id,
  startSample,
  annotation: `{"core:sample_start":${startSample},"core:label":"${label}","bench:serial":18446744073709551615}`,
});

export const job = (id: string, change: Partial<StoredJob> = {}): StoredJob => ({
  id,
  revision: 1,
  createdAt: DAY,
  changedAt: DAY,
  sample: false,
  body: { plate: "BAY 7", wheels: [{ position: "left front", identity: null }] },
  ...change,
});
