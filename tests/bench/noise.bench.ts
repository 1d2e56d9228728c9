import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { BurstRecord } from "../../decoders/records.ts";
import { addNoise, chance, uniform } from "../../seeds/noise.ts";

const sampleRateHz = 250_000;
const blockSamples = 25_000;
const carrierOffsetHz = 31_000;

/**
 * Minutes in which nobody sends, with a steady carrier and five impulses a second, all built-in layouts on: telegrams,
 * which should be none, and bursts.
 *
 * @param options.draws Minutes; 10 by default.
 */
export default async function noise({ seed, draws = 10 }: { seed: number; draws: number | undefined }): Promise<void> {
  let verified = 0;
  let telegrams = 0;
  const outcomes = new Map<BurstRecord["outcome"], number>();
  const source = {
    kind: "samples",
    file: "noise",
    sampleType: "cu8",
    sampleRateHz,
    captures: [{ sampleStart: 0, carrierHz: 433_920_000 }],
    blocks: quiet(seed, draws),
  } as const;
  for await (const record of analyse(source, builtinLayouts)) {
    if (record.kind === "telegram") {
      telegrams++;
      if (record.verified) verified++;
    } else if (record.kind === "burst") {
      outcomes.set(record.outcome, (outcomes.get(record.outcome) ?? 0) + 1);
    } else {
      const told = [...outcomes].map(([outcome, count]) => `${count} ${outcome}`).join(", ") || "none";
      console.log(
        `${draws} min: ${verified} verified, ${telegrams} telegrams; bursts, by the rung they missed: ${told}`,
      );
      for (const { carrierHz, share } of record.interferers) {
        console.log(`carrier at ${(carrierHz / 1e6).toFixed(4)} MHz for ${(100 * share).toFixed(1)} % of the time`);
      }
    }
  }
}

function* quiet(seed: number, minutes: number): Generator<Uint8Array> {
  const random = chance(seed);
  const iq = new Float64Array(2 * blockSamples);
  const bytes = new Uint8Array(iq.length);
  for (let block = 0; block < (minutes * 60 * sampleRateHz) / blockSamples; block++) {
    iq.fill(0);
    // Noise of six steps rms, the carrier as strong as all of it together.
    addNoise(iq, 72, random);
    for (let n = 0; n < blockSamples; n++) {
      const turn = (2 * Math.PI * carrierOffsetHz * (block * blockSamples + n)) / sampleRateHz;
      iq[2 * n]! += 8.5 * Math.cos(turn);
      iq[2 * n + 1]! += 8.5 * Math.sin(turn);
    }
    if (block % 2 === 0) {
      // An impulse: a few samples at full scale.
      const at = Math.floor(uniform(random) * (blockSamples - 4));
      for (let k = 0; k < 4; k++) iq[2 * (at + k)]! += 90;
    }
    for (let i = 0; i < iq.length; i++) bytes[i] = Math.min(255, Math.max(0, Math.round(127.5 + iq[i]!)));
    yield bytes;
  }
}
