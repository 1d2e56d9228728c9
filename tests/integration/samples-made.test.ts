import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { describe, expect, it } from "vitest";
import { complaintLine } from "../../decoders/layouts/complaint.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { scenarioPaths, staleSamples } from "../../seeds/make-samples.ts";
import { parseScenario } from "../../seeds/scenario.ts";
import type { SampleType } from "../../seeds/scenario-shape.ts";
import { bitsOf } from "../support/bits-of.ts";

const paths = await scenarioPaths();
const sample = (name: string) => readFileSync(new URL(`../../samples/${name}`, import.meta.url));

describe("samples/", () => {
  it("is what seeds/ gives, byte for byte, and nothing else", async () => {
    expect(paths.length).toBeGreaterThanOrEqual(11);
    expect(await staleSamples()).toEqual([]);
  });

  // Each symbol is looked at where the truth says it is, on the carrier that it says, by correlating with the two
  // frequencies, or with the carrier alone: nothing here comes from the modulator.
  it.each(paths.map((path) => basename(path, ".json")))("%s holds its clean copies where its truth says", (name) => {
    const parsed = parseScenario(
      JSON.parse(readFileSync(new URL(`../../seeds/${name}.json`, import.meta.url), "utf8")),
    );
    if (!parsed.ok) throw new Error(parsed.complaints.map(complaintLine).join("; "));
    const { layoutById, sensors } = parsed.scenario;
    const meta = JSON.parse(sample(`${name}.sigmf-meta`).toString());
    const truth = JSON.parse(sample(`${name}.truth.json`).toString());
    const rate: number = meta.global["core:sample_rate"];
    const iq = numbers(sample(`${name}.sigmf-data`), meta.global["core:datatype"]);
    let looked = 0;
    for (const telegram of truth.telegrams) {
      const layout = layoutById.get(telegram.layout)!;
      const sensor = sensors.find((one) => one.name === telegram.sensor)!;
      const sent = frameSymbols(layout, Uint8Array.from(bitsOf(telegram.bits, telegram.bitCount), Number));
      const symbolRate = layout.symbolRate * (1 + (sensor.clockPpm ?? 0) * 1e-6);
      for (const at of telegram.cleanCopies) {
        const capture = meta.captures.findLast((one: Record<string, number>) => one["core:sample_start"]! <= at * rate);
        const offsetHz = telegram.carrierHz - capture["core:frequency"];
        const wrong = symbolErrors(iq, rate, at, offsetHz, symbolRate, layout, sent);
        expect(wrong / sent.length, `${telegram.sensor} at ${at}`).toBeLessThanOrEqual(0.02);
        looked++;
      }
    }
    expect(looked).toBeGreaterThan(0);
  });
});

function numbers(bytes: Buffer, type: SampleType): Float64Array {
  if (type === "cu8") return Float64Array.from(bytes, (byte) => (byte - 127.5) / 127.5);
  if (type === "ci8") return Float64Array.from(bytes, (byte) => ((byte << 24) >> 24) / 127);
  const size = type === "ci16_le" ? 2 : 4;
  return Float64Array.from({ length: bytes.length / size }, (_, i) =>
    size === 2 ? bytes.readInt16LE(2 * i) / 32767 : bytes.readFloatLE(4 * i),
  );
}

function symbolErrors(
  iq: Float64Array,
  rate: number,
  atSeconds: number,
  offsetHz: number,
  symbolRate: number,
  layout: Layout,
  sent: Uint8Array,
): number {
  const energy = (index: number, frequencyHz: number) => {
    const from = Math.ceil((atSeconds + index / symbolRate) * rate);
    const to = Math.ceil((atSeconds + (index + 1) / symbolRate) * rate);
    let re = 0;
    let im = 0;
    for (let n = from; n < to; n++) {
      const angle = (-2 * Math.PI * frequencyHz * n) / rate;
      re += iq[2 * n]! * Math.cos(angle) - iq[2 * n + 1]! * Math.sin(angle);
      im += iq[2 * n]! * Math.sin(angle) + iq[2 * n + 1]! * Math.cos(angle);
    }
    return Math.hypot(re, im) / (to - from);
  };
  const deviationHz = layout.deviationHz ?? 0;
  const margins = Array.from(sent, (_, i) =>
    layout.modulation === "fsk"
      ? energy(i, offsetHz + deviationHz) - energy(i, offsetHz - deviationHz)
      : energy(i, offsetHz),
  );
  const middle = layout.modulation === "fsk" ? 0 : (Math.max(...margins) + Math.min(...margins)) / 2;
  return sent.filter((symbol, i) => symbol !== (margins[i]! > middle ? 1 : 0)).length;
}
