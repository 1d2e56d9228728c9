import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { toFloats } from "../../decoders/signal/samples.ts";
import type { SampleType } from "../../decoders/sources.ts";
import { powerFromDb } from "../../seeds/arithmetic.ts";
import { hearingsOf } from "../../seeds/hearing.ts";
import { type AirCopy, ebN0DbAt, fadedBy, planOf, type Sending } from "../../seeds/plan.ts";
import { parseScenario, type Scenario } from "../../seeds/scenario.ts";
import { tuningsOf } from "../../seeds/tunings.ts";
import { samplesDir } from "./samples.ts";

/** A copy as it went on air, and how it reached the receiver: the unrounded truth behind a sample's truth file. */
export interface SentCopy {
  readonly sending: Sending;
  readonly copy: AirCopy;
  /** Nothing disturbs it. */
  readonly clean: boolean;
  readonly ebN0Db: number;
  /** Samples a symbol, its clock's error counted. */
  readonly symbolSamples: number;
  /** Place of its first symbol's beginning among the samples; sample n lies at n / sampleRateHz. */
  readonly firstSample: number;
  /** At the middle of the copy, the sensor's drift counted. */
  readonly carrierHz: number;
}

/** A sample recording in memory, with what was sent. */
export interface SampleRecording {
  readonly name: string;
  readonly scenario: Scenario;
  readonly sampleType: SampleType;
  readonly sampleRateHz: number;
  readonly bytes: Uint8Array;
  readonly iq: Float32Array;
  readonly captures: readonly { readonly sampleStart: number; readonly carrierHz: number }[];
  /** Whole copies that reached the receiver, ascending in time. */
  readonly copies: readonly SentCopy[];
}

export const sampleNames = readdirSync(samplesDir)
  .filter((name) => name.endsWith(".sigmf-data"))
  .map((name) => name.replace(".sigmf-data", ""));

export function sampleRecording(name: string): SampleRecording {
  const parsed = parseScenario(JSON.parse(readFileSync(join(samplesDir, "../seeds", `${name}.json`), "utf8")));
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.complaints));
  const { scenario } = parsed;
  const { sampleRateHz, sampleType } = scenario.receiver;
  const bytes = new Uint8Array(readFileSync(join(samplesDir, `${name}.sigmf-data`)));
  const size = sampleType === "cf32_le" ? 8 : sampleType === "ci16_le" ? 4 : 2;
  const iq = new Float32Array((2 * bytes.length) / size);
  toFloats(sampleType, bytes, iq);
  const plan = planOf(scenario);
  const noisePower = powerFromDb(scenario.receiver.noiseDbfs);
  const copies = plan.sendings.flatMap((sending) => {
    const hearings = hearingsOf(scenario, plan, sending);
    return sending.copies.flatMap((copy, i): SentCopy[] => {
      const hearing = hearings[i]!;
      if (hearing.reached !== "whole") return [];
      const seconds = copy.endSeconds - copy.atSeconds;
      const faded = Math.min(fadedBy(copy.fadings, copy.atSeconds), fadedBy(copy.fadings, copy.endSeconds));
      return [
        {
          sending,
          copy,
          clean: hearing.doubts.length === 0,
          ebN0Db: ebN0DbAt(copy, copy.amplitude * faded, noisePower, sampleRateHz),
          symbolSamples: (seconds * sampleRateHz) / copy.symbols.length,
          firstSample: copy.atSeconds * sampleRateHz,
          carrierHz: copy.carrierHz + (copy.driftHzPerSecond * seconds) / 2,
        },
      ];
    });
  });
  copies.sort((a, b) => a.firstSample - b.firstSample);
  const captures = tuningsOf(scenario).map(({ fromSample, carrierHz }) => ({ sampleStart: fromSample, carrierHz }));
  return { name, scenario, sampleType, sampleRateHz, bytes, iq, captures, copies };
}

/** The capture that a sample lies in. */
export function captureAt({ captures }: SampleRecording, sample: number) {
  const found = captures.findLast(({ sampleStart }) => sampleStart <= sample);
  if (!found) throw new RangeError(`no capture at sample ${sample}`);
  return found;
}
