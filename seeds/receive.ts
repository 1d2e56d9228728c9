import { cosSin, powerFromDb } from "./arithmetic.ts";
import { bandFit } from "./band.ts";
import { addCopy } from "./modulate.ts";
import { addNoise, chance } from "./noise.ts";
import { copiesDuring, fadedBy, impulsesDuring, NOISE_STREAM, type PlainCarrier, type Plan } from "./plan.ts";
import { quantise } from "./quantise.ts";
import type { Scenario } from "./scenario.ts";
import { tuningsOf } from "./tunings.ts";

/**
 * What a receiver makes of everything on air, in sample bytes, block by block: a long recording never lies in memory.
 *
 * @returns Fresh blocks of whole samples, in order; together they are as long as the recording.
 */
export function* receivedBlocks(scenario: Scenario, plan: Plan): Generator<Uint8Array, void, undefined> {
  const { receiver } = scenario;
  const { sampleRateHz } = receiver;
  const noisePower = powerFromDb(receiver.noiseDbfs);
  const gain = Math.sqrt(powerFromDb(receiver.gainDb ?? 0));
  const [dcI, dcQ] = receiver.dcOffset ?? [0, 0];
  const random = chance(scenario.seed, NOISE_STREAM);

  for (const tuning of tuningsOf(scenario)) {
    for (let from = tuning.fromSample; from < tuning.toSample; from += BLOCK_SAMPLES) {
      const count = Math.min(BLOCK_SAMPLES, tuning.toSample - from);
      const iq = new Float64Array(2 * count);
      addSendings(iq, from, scenario, plan, tuning.carrierHz);
      for (const carrier of plan.carriers) addCarrier(iq, from, sampleRateHz, carrier, tuning.carrierHz);
      addImpulses(iq, from, sampleRateHz, plan);
      addNoise(iq, noisePower, random);
      for (let i = 0; i < iq.length; i += 2) {
        iq[i] = iq[i]! * gain + dcI;
        iq[i + 1] = iq[i + 1]! * gain + dcQ;
      }
      yield quantise(iq, receiver.sampleType);
    }
  }
}

const BLOCK_SAMPLES = 65_536;

function addSendings(iq: Float64Array, firstSample: number, scenario: Scenario, plan: Plan, centreHz: number): void {
  const { sampleRateHz } = scenario.receiver;
  const fromSeconds = (firstSample - 2) / sampleRateHz;
  const toSeconds = (firstSample + iq.length / 2 + 2) / sampleRateHz;
  for (const copy of copiesDuring(plan, fromSeconds, toSeconds)) {
    const offsetHz = copy.carrierHz - centreHz;
    if (bandFit(copy.layout, offsetHz, sampleRateHz) !== "inside") continue; // the receiver's filter keeps it out
    const { fadings } = copy;
    const gainAt = fadings.length > 0 ? (seconds: number) => fadedBy(fadings, seconds) : undefined;
    addCopy(iq, firstSample, sampleRateHz, { ...copy, offsetHz }, gainAt);
  }
}

function addCarrier(
  iq: Float64Array,
  firstSample: number,
  sampleRateHz: number,
  carrier: PlainCarrier,
  centreHz: number,
): void {
  const { event, amplitude, phaseTurns } = carrier;
  const offsetHz = event.carrierHz - centreHz;
  if (Math.abs(offsetHz) >= sampleRateHz / 2) return;
  const unit = new Float64Array(2);
  const start = Math.max(0, Math.ceil(event.fromSeconds * sampleRateHz) - firstSample);
  const end = Math.min(iq.length / 2, Math.ceil(event.toSeconds * sampleRateHz) - firstSample);
  for (let n = start; n < end; n++) {
    const since = (firstSample + n) / sampleRateHz - event.fromSeconds;
    if (event.kind === "pulsed-carrier") {
      const period = event.onSeconds + event.offSeconds;
      if (since - Math.floor(since / period) * period >= event.onSeconds) continue;
    }
    cosSin(phaseTurns + offsetHz * since, unit);
    iq[2 * n]! += amplitude * unit[0]!;
    iq[2 * n + 1]! += amplitude * unit[1]!;
  }
}

function addImpulses(iq: Float64Array, firstSample: number, sampleRateHz: number, plan: Plan): void {
  const unit = new Float64Array(2);
  const fromSeconds = (firstSample - 1) / sampleRateHz;
  const toSeconds = (firstSample + iq.length / 2 + 1) / sampleRateHz;
  for (const { atSeconds, amplitude, phaseTurns } of impulsesDuring(plan, fromSeconds, toSeconds)) {
    const n = Math.floor(atSeconds * sampleRateHz) - firstSample;
    if (n < 0 || n >= iq.length / 2) continue;
    cosSin(phaseTurns, unit);
    iq[2 * n]! += amplitude * unit[0]!;
    iq[2 * n + 1]! += amplitude * unit[1]!;
  }
}
