import { closeSync, mkdtempSync, openSync, readSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { captures } from "../../decoders/signal/captures.ts";
import { quantise } from "../../seeds/quantise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import { buildSpectrogram, spectrogramSeconds } from "./liquid/liquid.ts";
import { median } from "./median.ts";

const sampleRateHz = 1_024_000;
const seconds = 20;
const blockBytes = 256 * 1024;
const layout = builtinLayouts.find(({ id }) => id === "pilot-car")!;
const centreHz = layout.carrierHz[0]!;

/**
 * Samples a second from the file to the list of bursts, and to the telegrams, over a recording with one telegram a
 * second. Beside them, in turn: the least that any reader of the same file has to do, which is read, convert and add up
 * the power; and liquid-dsp's 64-bin spectrogram over the same file, where it can be built. What the ratio to that is
 * not: liquid's windows overlap by half, ours do not, and it works in floats where ours take whole numbers.
 * Processor time of one thread, medians.
 *
 * @param options.draws Rounds; 5 by default.
 */
export default async function throughput({ seed, draws = 5 }: { seed: number; draws: number | undefined }) {
  const folder = mkdtempSync(join(tmpdir(), "wheelgram-bench-"));
  const path = join(folder, "recording");
  try {
    writeRecording(path, seed);
    const built = buildSpectrogram(folder);
    const bursts: number[] = [];
    const telegrams: number[] = [];
    const plain: number[] = [];
    const liquid: number[] = [];
    let heard = await burstsOf(path); // warms up
    let said = await analysed(path);
    let power = powerOf(path);
    for (let round = 0; round < draws; round++) {
      const times = [cpuSeconds()];
      heard = await burstsOf(path);
      times.push(cpuSeconds());
      said = await analysed(path);
      times.push(cpuSeconds());
      power = powerOf(path);
      times.push(cpuSeconds());
      bursts.push(times[1]! - times[0]!);
      telegrams.push(times[2]! - times[1]!);
      plain.push(times[3]! - times[2]!);
      if ("program" in built) liquid.push(spectrogramSeconds(built.program, path));
    }
    const millions = (sampleRateHz * seconds) / 1e6;
    const show = (name: string, times: readonly number[], what: string) => {
      const [middle, best] = [median(times), Math.min(...times)];
      const beside = [`${(median(plain) / middle).toFixed(3)} × plain`];
      if (liquid.length > 0) beside.push(`${(median(liquid) / middle).toFixed(2)} × liquid`);
      const speed = `median ${(millions / middle).toFixed(1)}, best ${(millions / best).toFixed(1)} MS/s`;
      console.log(`${name.padEnd(26)} ${speed}, ${beside.join(", ")} (${what})`);
    };
    console.log(`${seconds} s of cu8 at ${sampleRateHz / 1e6} MS/s, ${draws} rounds, processor time of one thread`);
    show("file to bursts", bursts, `${heard} bursts`);
    show("file to telegrams", telegrams, said);
    show("read, convert, power", plain, `${(10 * Math.log10(power)).toFixed(1)} dBFS`);
    if ("program" in built) show("liquid, 64-bin spectrogram", liquid, "half overlapping, Hann");
    else console.log(`liquid-dsp's spectrogram was not measured: ${built.why}`);
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
    writeSync(file, quantise(Float64Array.from(iq.subarray(0, 2 * sampleRateHz)), "cu8"));
  }
  closeSync(file);
}

function sourceOf(path: string) {
  const tunings = [{ sampleStart: 0, carrierHz: centreHz }];
  const blocks = blocksOf(path);
  return { kind: "samples", file: path, sampleType: "cu8", sampleRateHz, captures: tunings, blocks } as const;
}

async function burstsOf(path: string): Promise<number> {
  let found = 0;
  for await (const { bursts } of captures(sourceOf(path), 0)) found += bursts.length;
  return found;
}

async function analysed(path: string): Promise<string> {
  let said = "no summary";
  for await (const record of analyse(sourceOf(path), builtinLayouts)) {
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
