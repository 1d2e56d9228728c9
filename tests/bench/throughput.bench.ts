import { closeSync, mkdtempSync, openSync, readSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";

const sampleRateHz = 1_024_000;
const seconds = 20;
const blockBytes = 256 * 1024;
const layout = builtinLayouts.find(({ id }) => id === "pilot-car")!;
const centreHz = layout.carrierHz[0]!;

/**
 * Samples a second of `analyse` over a recording with one telegram a second, beside the least that any reader of the
 * same file has to do: read, convert, add up the power. Processor time, rounds of both in turn, medians.
 *
 * @param options.draws Rounds; 5 by default.
 */
export default async function throughput({ seed, draws = 5 }: { seed: number; draws: number | undefined }) {
  const folder = mkdtempSync(join(tmpdir(), "wheelgram-bench-"));
  const path = join(folder, "recording");
  try {
    writeRecording(path, seed);
    const ours: number[] = [];
    const plain: number[] = [];
    let said = await analysed(path); // warms up
    let power = powerOf(path);
    for (let round = 0; round < draws; round++) {
      const begun = cpuSeconds();
      said = await analysed(path);
      const between = cpuSeconds();
      power = powerOf(path);
      ours.push(between - begun);
      plain.push(cpuSeconds() - between);
    }
    const millions = (sampleRateHz * seconds) / 1e6;
    const shown = (times: readonly number[]) =>
      `median ${(millions / median(times)).toFixed(1)}, best ${(millions / Math.min(...times)).toFixed(1)} MS/s`;
    console.log(`${seconds} s of cu8 at ${sampleRateHz / 1e6} MS/s, ${draws} rounds, processor time of one thread`);
    console.log(`analyse                 ${shown(ours)} (${said})`);
    console.log(`read, convert, power    ${shown(plain)} (${(10 * Math.log10(power)).toFixed(1)} dBFS)`);
    console.log(`ratio of the medians    ${(median(plain) / median(ours)).toFixed(4)}`);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** One pilot-car telegram each second, 20 dB Eb/N0, its carrier somewhere within 50 kHz of the centre. */
function writeRecording(path: string, seed: number): void {
  const file = openSync(path, "w");
  for (let i = 0; i < seconds; i++) {
    const { iq } = telegramSamples(
      layout,
      { sensor: 0x5eed0000 + i, pressure: 130, temperature: 70 },
      {
        sampleRateHz,
        offsetHz: ((i * 37) % 101) * 1000 - 50_000,
        ebN0Db: 20,
        seed: seed + i,
        leadSeconds: 0.4,
        tailSeconds: 1,
      },
    );
    writeSync(
      file,
      Uint8Array.from(iq.subarray(0, 2 * sampleRateHz), (part) => clampedByte(127.5 + 127.5 * part)),
    );
  }
  closeSync(file);
}

function clampedByte(value: number): number {
  return Math.min(255, Math.max(0, Math.round(value)));
}

async function analysed(path: string): Promise<string> {
  const captures = [{ sampleStart: 0, carrierHz: centreHz }];
  const blocks = blocksOf(path);
  const source = { kind: "samples", file: path, sampleType: "cu8", sampleRateHz, captures, blocks } as const;
  let said = "no summary";
  for await (const record of analyse(source, builtinLayouts)) {
    if (record.kind === "summary") said = `${record.bursts} bursts, ${record.telegrams} telegrams`;
  }
  return said;
}

/** Mean |sample|², 1 at full scale. */
function powerOf(path: string): number {
  const converted = new Float32Array(blockBytes);
  let sum = 0;
  for (const block of blocksOf(path)) {
    for (let i = 0; i < block.length; i++) converted[i] = (block[i]! - 127.5) / 127.5;
    for (let i = 0; i < block.length; i++) sum += converted[i]! * converted[i]!;
  }
  return sum / (sampleRateHz * seconds);
}

function* blocksOf(path: string): Generator<Uint8Array> {
  const file = openSync(path, "r");
  const buffer = new Uint8Array(blockBytes);
  try {
    for (let length = readSync(file, buffer); length > 0; length = readSync(file, buffer)) {
      yield buffer.subarray(0, length);
    }
  } finally {
    closeSync(file);
  }
}

/** Processor time that this process has used. */
function cpuSeconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
