import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { liveSamples } from "../../decoders/live.ts";
import { traffic } from "./traffic.ts";

const sampleRateHz = 1_024_000;
const pieces = 20;

/**
 * Memory of a live feed that does not end: samples with a telegram a second, decoded as fast as they can be, and what the
 * process holds after the first tenth and at the end. `npm run bench -- workers` tells the memory of a long file.
 *
 * @param options.draws Minutes of signal; 60 by default.
 */
export default async function memory({ seed, draws = 60 }: { seed: number; draws: number | undefined }): Promise<void> {
  const source = {
    kind: "samples",
    file: "feed",
    sampleType: "cu8",
    sampleRateHz,
    captures: [{ sampleStart: 0, carrierHz: 433_920_000 }],
    blocks: feed(seed, draws),
  } as const;
  let telegrams = 0;
  for await (const told of liveSamples(source, builtinLayouts)) {
    if (told.kind === "telegram" && told.revision === 1) telegrams++;
  }
  console.log(`${telegrams} telegrams in ${draws} minutes`);
}

function* feed(seed: number, minutes: number): Generator<Uint8Array> {
  const parts = traffic(pieces, 1, sampleRateHz, seed);
  const seconds = 60 * minutes;
  for (let second = 0; second < seconds; second++) {
    if (second === Math.floor(seconds / 10)) console.log(`after ${second} s: ${megabytes()} MB`);
    yield parts[second % pieces]!;
  }
  console.log(`after ${seconds} s: ${megabytes()} MB`);
}

function megabytes(): string {
  return (process.memoryUsage().rss / 1e6).toFixed(0);
}
