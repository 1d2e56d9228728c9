import type { Writable } from "node:stream";
import { type Recording, sampleBytes } from "../recordings/recording.ts";

/** How far the reading of a recording is. */
export interface Standing {
  readonly samplesRead: number;
  /** `undefined`: nobody knows, as with a stream. */
  readonly sampleCount: number | undefined;
  readonly tookSeconds: number;
  readonly telegrams: number;
}

/** A line at the foot of a terminal while a recording is read. */
export interface Progress {
  /** The same recording; what is read of it is counted. */
  readonly recording: Recording;
  readonly telegram: () => void;
  /** Takes the line away, so that something else can be written there. */
  readonly clear: () => void;
  /** Takes the line away for good and leaves a sentence about what was read, and how fast. */
  readonly end: () => void;
}

/** A terminal need not be told more often. */
const STEP_SECONDS = 0.5;

/** @param nowMs Of any steady clock. */
export function createProgress(recording: Recording, terminal: Writable, nowMs: () => number): Progress {
  const bytes = sampleBytes(recording.sampleType);
  const beganMs = nowMs();
  let [read, telegrams, toldMs, shown] = [0, 0, beganMs, 0];

  const standing = (): Standing => ({
    samplesRead: read / bytes,
    sampleCount: recording.sampleCount,
    tookSeconds: (nowMs() - beganMs) / 1000,
    telegrams,
  });
  function clear(): void {
    if (shown > 0) terminal.write(`\r${" ".repeat(shown)}\r`);
    shown = 0;
  }
  async function* counted(): AsyncGenerator<Uint8Array> {
    for await (const block of recording.blocks) {
      yield block;
      read += block.length;
      if (nowMs() - toldMs < 1000 * STEP_SECONDS) continue;
      toldMs = nowMs();
      const line = progressLine(standing());
      clear();
      terminal.write(line);
      shown = line.length;
    }
  }
  return {
    recording: { ...recording, blocks: counted() },
    telegram() {
      telegrams++;
    },
    clear,
    end() {
      clear();
      terminal.write(`${speedSentence(standing(), recording.sampleRateHz)}\n`);
    },
  };
}

/** Such as `34 %, 19.8 MS/s, 42 s left, 12 telegrams so far`; without a share where the length is not known. */
export function progressLine({ samplesRead, sampleCount, tookSeconds, telegrams }: Standing): string {
  const perSecond = samplesRead / Math.max(tookSeconds, 1e-3);
  const share = sampleCount === undefined ? [] : [`${Math.floor((100 * samplesRead) / Math.max(1, sampleCount))} %`];
  const left =
    sampleCount === undefined || perSecond === 0 ? [] : [`${timeWords((sampleCount - samplesRead) / perSecond)} left`];
  const count = `${telegrams} telegram${telegrams === 1 ? "" : "s"} so far`;
  return [...share, megaWords(perSecond), ...left, count].join(", ");
}

/** Such as `18.0 s of signal read in 0.9 s, at 20.0 MS/s.` */
export function speedSentence({ samplesRead, tookSeconds }: Standing, sampleRateHz: number): string {
  const perSecond = samplesRead / Math.max(tookSeconds, 1e-3);
  return `${timeWords(samplesRead / sampleRateHz)} of signal read in ${timeWords(tookSeconds)}, at ${megaWords(perSecond)}.`;
}

function megaWords(perSecond: number): string {
  return `${(perSecond / 1e6).toFixed(1)} MS/s`;
}

/** Such as `4.2 s`, `42 s`, `12 min` or `3 h 5 min`. */
export function timeWords(seconds: number): string {
  if (seconds < 10) return `${seconds.toFixed(1)} s`;
  if (seconds < 90) return `${Math.round(seconds)} s`;
  const minutes = Math.round(seconds / 60);
  return minutes < 90 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}
