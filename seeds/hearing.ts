import { powerFromDb } from "./arithmetic.ts";
import { bandFit, halfWidthHz } from "./band.ts";
import {
  type AirCopy,
  copiesDuring,
  ebN0DbAt,
  fadedBy,
  impulsesDuring,
  type PlainCarrier,
  type Plan,
  type Sending,
} from "./plan.ts";
import { roundingPower } from "./quantise.ts";
import type { Scenario } from "./scenario.ts";
import { type Tuning, tuningsOf } from "./tunings.ts";

/** Why a decoder may rightly miss a copy. */
export type Doubt = "collision" | "weak" | "clipped" | "interferer" | "impulse" | "broken" | "lost by the receiver";

/** What reached the receiver of one copy. */
export type Hearing =
  | { readonly reached: "whole"; readonly tuning: Tuning; readonly ebN0Db: number; readonly doubts: readonly Doubt[] }
  | { readonly reached: "cut" | "outside the band" };

/** How each copy of a sending reached the receiver, in the order of its copies. */
export function hearingsOf(scenario: Scenario, plan: Plan, sending: Sending): Hearing[] {
  const tunings = tuningsOf(scenario);
  return sending.copies.map((copy) => {
    const { sampleRateHz } = scenario.receiver;
    const inBand = tunings.filter(
      (tuning) =>
        bandFit(copy.layout, copy.carrierHz - tuning.carrierHz, sampleRateHz) === "inside" &&
        copy.endSeconds * sampleRateHz > tuning.fromSample &&
        copy.atSeconds * sampleRateHz < tuning.toSample,
    );
    const tuning = inBand.find(
      ({ fromSample, toSample }) =>
        copy.atSeconds * sampleRateHz >= fromSample && copy.endSeconds * sampleRateHz <= toSample - 1,
    );
    if (!tuning) return { reached: inBand.length > 0 ? "cut" : "outside the band" };
    const ebN0Db = worstEbN0Db(scenario, copy);
    const doubts = doubtsOf(scenario, plan, copy, tuning, ebN0Db);
    return { reached: "whole", tuning, ebN0Db, doubts: sending.broken ? [...doubts, "broken"] : doubts };
  });
}

/** Copies that overlap in time this close in frequency are a collision. */
const COLLISION_HZ = 150_000;

/** Whether another sending's copy is on air at the same time and nearby. */
export function collides(copy: AirCopy, other: AirCopy): boolean {
  const together = copy.atSeconds < other.endSeconds && other.atSeconds < copy.endSeconds;
  return together && Math.abs(copy.carrierHz - other.carrierHz) < COLLISION_HZ;
}

/** Under this Eb/N0 a telegram need not be read. */
const LEAST_EBN0_DB = 13;
/** Beyond this part of full scale the noise on top is clipped. */
const CLIPPING_AMPLITUDE = 0.95;
/** An unkeyed carrier in the telegram's band disturbs it when it is no weaker than this below it. */
const DISTURBING_POWER = 1 / 30;

/** With the noise that rounding adds, at the end of any fading. */
function worstEbN0Db({ receiver }: Scenario, copy: AirCopy): number {
  const gain = powerFromDb(receiver.gainDb ?? 0);
  const noisePower = powerFromDb(receiver.noiseDbfs) + roundingPower(receiver.sampleType) / gain;
  return ebN0DbAt(copy, copy.amplitude * fadedBy(copy.fadings, copy.endSeconds), noisePower, receiver.sampleRateHz);
}

function doubtsOf(scenario: Scenario, plan: Plan, copy: AirCopy, tuning: Tuning, ebN0Db: number): Doubt[] {
  const { receiver, events = [], outputs } = scenario;
  const doubts: Doubt[] = [];
  const together = copiesDuring(plan, copy.atSeconds, copy.endSeconds);
  if (together.some((other) => other !== copy && collides(copy, other))) doubts.push("collision");
  if (ebN0Db < LEAST_EBN0_DB) doubts.push("weak");

  const gain = Math.sqrt(powerFromDb(receiver.gainDb ?? 0));
  const amplitude = copy.amplitude * fadedBy(copy.fadings, copy.atSeconds);
  const [dcI, dcQ] = receiver.dcOffset ?? [0, 0];
  const carriers = plan.carriers.filter((carrier) => isOnDuring(carrier, copy));
  const loudest = carriers.reduce((sum, carrier) => sum + carrier.amplitude, amplitude) * gain;
  const dcAmplitude = Math.sqrt(dcI * dcI + dcQ * dcQ);
  if (receiver.sampleType !== "cf32_le" && loudest + dcAmplitude >= CLIPPING_AMPLITUDE) doubts.push("clipped");

  const disturbs = (carrierHz: number, power: number) =>
    Math.abs(carrierHz - copy.carrierHz) < halfWidthHz(copy.layout) + copy.layout.symbolRate + 10_000 &&
    power > amplitude * amplitude * DISTURBING_POWER;
  const dcPower = (dcAmplitude / gain) * (dcAmplitude / gain);
  if (
    carriers.some(({ event, amplitude: own }) => disturbs(event.carrierHz, own * own)) ||
    disturbs(tuning.carrierHz, dcPower)
  ) {
    doubts.push("interferer");
  }
  const duringCopy = impulsesDuring(plan, copy.atSeconds, copy.endSeconds);
  if (duringCopy.some((impulse) => impulse.amplitude > amplitude)) doubts.push("impulse");
  if (outputs.includes("lines") && events.some((event) => event.kind === "lost" && isLost(event, copy))) {
    doubts.push("lost by the receiver");
  }
  return doubts;
}

/** Whether a burst begins while the receiver drops them. */
export function isLost(event: { readonly fromSeconds: number; readonly toSeconds: number }, copy: AirCopy): boolean {
  return copy.atSeconds >= event.fromSeconds && copy.atSeconds < event.toSeconds;
}

function isOnDuring({ event }: PlainCarrier, copy: AirCopy): boolean {
  return event.fromSeconds < copy.endSeconds && copy.atSeconds < event.toSeconds;
}
