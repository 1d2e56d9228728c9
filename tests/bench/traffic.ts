import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { quantise } from "../../seeds/quantise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";

/** So that noise of -30 dBFS comes to lie at eleven steps. */
const GAIN = 4;

/**
 * Bytes (cu8) with a telegram each, of every built-in layout at 433.92 MHz in turn, within 50 kHz of it.
 *
 * @param aSecond Telegrams a second, which says how long each piece is.
 */
export function traffic(pieces: number, aSecond: number, sampleRateHz: number, seed: number): Uint8Array[] {
  const layouts = builtinLayouts.filter(({ carrierHz }) => carrierHz.includes(433_920_000));
  return Array.from({ length: pieces }, (_, i) => {
    const { iq } = telegramSamples(
      layouts[i % layouts.length]!,
      {},
      {
        sampleRateHz,
        offsetHz: ((i * 37) % 101) * 1000 - 50_000,
        ebN0Db: 18,
        seed: seed + i,
        leadSeconds: 0.4 / aSecond,
        tailSeconds: 1,
      },
    );
    return quantise(
      Float64Array.from(iq.subarray(0, (2 * sampleRateHz) / aSecond), (part) => GAIN * part),
      "cu8",
    );
  });
}
