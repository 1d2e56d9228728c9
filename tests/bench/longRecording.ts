import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { quantise } from "../../seeds/quantise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";

export interface LongRecording {
  readonly seconds: number;
  readonly sampleRateHz: number;
  readonly frames: number;
  readonly sensors: number;
  /** Metadata and samples, one after the other, as the server takes them. */
  readonly metadata: Uint8Array;
  /** Samples (ci8), piece by piece. */
  readonly pieces: () => Generator<Uint8Array>;
}

/** So that noise of -30 dBFS comes to lie at eleven steps. */
const GAIN = 4;
const CARRIER_HZ = 433_920_000;

/** A recording in which each sensor in turn says the same telegram, evenly spread over its length. */
export function longRecording(
  seed: number,
  { seconds, sampleRateHz, frames, sensors }: Pick<LongRecording, "seconds" | "sampleRateHz" | "frames" | "sensors">,
): LongRecording {
  const layout = builtinLayouts.find(({ carrierHz }) => carrierHz.includes(CARRIER_HZ));
  if (!layout) throw new RangeError("no built-in layout sends on 433.92 MHz");
  const apart = seconds / frames;
  const parts = Array.from({ length: sensors }, (_, i) => {
    const sent = telegramSamples(
      layout,
      { sensor: 0x3a510000 + i, pressure: 90 + i },
      {
        sampleRateHz,
        offsetHz: 1000 * (i - sensors / 2),
        ebN0Db: 25,
        seed: seed + i,
        leadSeconds: 0.3 * apart,
        tailSeconds: apart,
      },
    );
    const part = sent.iq.subarray(0, 2 * Math.round(apart * sampleRateHz));
    return quantise(
      Float64Array.from(part, (value) => GAIN * value),
      "ci8",
    );
  });
  const meta = {
    global: { "core:version": "1.2.5", "core:datatype": "ci8", "core:sample_rate": sampleRateHz },
    captures: [{ "core:sample_start": 0, "core:frequency": CARRIER_HZ }],
    annotations: [],
  };
  return {
    seconds,
    sampleRateHz,
    frames,
    sensors,
    metadata: new TextEncoder().encode(JSON.stringify(meta)),
    *pieces() {
      for (let i = 0; i < frames; i++) {
        const part = parts[i % sensors];
        if (part) yield part;
      }
    },
  };
}
