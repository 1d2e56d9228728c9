import { createHash } from "node:crypto";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { quantise } from "../../seeds/quantise.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";

export const SMALL_RATE_HZ = 250_000;
const CARRIER_HZ = 433_920_000;

/** Samples (ci8) of a telegram and noise, a fifth of a second. */
export function smallSamples(seed: number, tailSeconds = 0.12): Uint8Array {
  const layouts = builtinLayouts.filter(({ carrierHz }) => carrierHz.includes(CARRIER_HZ));
  const layout = layouts[seed % layouts.length];
  if (!layout) throw new RangeError("no built-in layout sends on 433.92 MHz");
  const options = { sampleRateHz: SMALL_RATE_HZ, ebN0Db: 20, seed, leadSeconds: 0.05, tailSeconds };
  const { iq } = telegramSamples(layout, {}, options);
  return quantise(
    Float64Array.from(iq, (value) => 4 * value),
    "ci8",
  );
}

/** A small SigMF recording. @param global Added to its metadata; `undefined` takes a key out. */
export function saveRecording(
  folder: string,
  name: string,
  samples: Uint8Array,
  global: Readonly<Record<string, unknown>> = {},
): void {
  mkdirSync(folder, { recursive: true });
  const meta = {
    global: { "core:version": "1.2.5", "core:datatype": "ci8", "core:sample_rate": SMALL_RATE_HZ, ...global },
    captures: [{ "core:sample_start": 0, "core:frequency": CARRIER_HZ }],
    annotations: [],
  };
  writeFileSync(join(folder, `${name}.sigmf-meta`), JSON.stringify(meta));
  writeFileSync(join(folder, `${name}.sigmf-data`), samples);
}

/** Of every file below a folder, by its name: the hash of what it holds. */
export function hashesBelow(folder: string): Readonly<Record<string, string>> {
  const hashes: Record<string, string> = {};
  for (const name of readdirSync(folder, { recursive: true, encoding: "utf8" }).sort()) {
    const path = join(folder, name);
    try {
      hashes[name] = createHash("sha256").update(readFileSync(path)).digest("hex");
    } catch (error) {
      if (!(error instanceof Error && "code" in error && error.code === "EISDIR")) throw error;
    }
  }
  return hashes;
}
