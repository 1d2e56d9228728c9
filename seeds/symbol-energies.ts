import { powerFromDb } from "./arithmetic.ts";
import { bandFit, halfWidthHz } from "./band.ts";
import { type AirCopy, copiesDuring, fadedBy, impulsesDuring, type PlainCarrier, type Plan } from "./plan.ts";
import type { Scenario } from "./scenario.ts";
import type { Tuning } from "./tunings.ts";

/**
 * Energy of each symbol of a copy while its carrier is on, over the power per Hz of the noise and of whatever else is
 * in its band at that moment, as if that were noise too.
 */
export function symbolEnergies(scenario: Scenario, plan: Plan, copy: AirCopy, tuning: Tuning): Float64Array {
  const { sampleRateHz, noiseDbfs } = scenario.receiver;
  const noisePerHz = powerFromDb(noiseDbfs) / sampleRateHz;
  const symbolSeconds = (copy.endSeconds - copy.atSeconds) / copy.symbols.length;
  const disturbers = disturbersOf(scenario, plan, copy, tuning);
  return Float64Array.from(copy.symbols, (_, i) => {
    const from = copy.atSeconds + i * symbolSeconds;
    const to = from + symbolSeconds;
    const amplitude = copy.amplitude * fadedBy(copy.fadings, from);
    const disturbance = disturbers.reduce((sum, energyIn) => sum + energyIn(from, to), 0);
    return (amplitude * amplitude * symbolSeconds) / (noisePerHz + disturbance);
  });
}

/** Energy that a disturber brings into a span of time, at full-scale power times seconds. */
type EnergyIn = (from: number, to: number) => number;

function disturbersOf({ receiver }: Scenario, plan: Plan, copy: AirCopy, tuning: Tuning): EnergyIn[] {
  const halfHz = halfWidthHz(copy.layout);
  const near = (carrierHz: number, widthHz: number) => Math.abs(carrierHz - copy.carrierHz) < halfHz + widthHz;
  const copies = copiesDuring(plan, copy.atSeconds, copy.endSeconds).filter(
    (other) =>
      other !== copy &&
      near(other.carrierHz, halfWidthHz(other.layout)) &&
      bandFit(other.layout, other.carrierHz - tuning.carrierHz, receiver.sampleRateHz) === "inside",
  );
  const carriers = plan.carriers.filter(({ event }) => near(event.carrierHz, 0));
  const impulses = impulsesDuring(plan, copy.atSeconds, copy.endSeconds);
  return [
    ...copies.map(
      (other): EnergyIn =>
        (from, to) =>
          other.amplitude * other.amplitude * overlap(from, to, other.atSeconds, other.endSeconds),
    ),
    ...carriers.map(
      (carrier): EnergyIn =>
        (from, to) =>
          carrier.amplitude * carrier.amplitude * onSeconds(carrier, from, to),
    ),
    ...impulses.map(
      ({ atSeconds, amplitude }): EnergyIn =>
        (from, to) =>
          atSeconds >= from && atSeconds < to ? (amplitude * amplitude) / receiver.sampleRateHz : 0,
    ),
  ];
}

function overlap(from: number, to: number, start: number, end: number): number {
  return Math.max(0, Math.min(to, end) - Math.max(from, start));
}

/** How long a carrier is on in a span that is short beside its pulses: its state in the span's middle counts. */
function onSeconds({ event }: PlainCarrier, from: number, to: number): number {
  const whole = overlap(from, to, event.fromSeconds, event.toSeconds);
  if (event.kind === "steady-carrier") return whole;
  const period = event.onSeconds + event.offSeconds;
  const since = (from + to) / 2 - event.fromSeconds;
  return since - Math.floor(since / period) * period < event.onSeconds ? whole : 0;
}
