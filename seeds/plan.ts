import type { RandomGenerator } from "pure-rand/types/RandomGenerator";
import type { Layout } from "../decoders/layouts/schema.ts";
import { dbFromPower, ln, powerFromDb } from "./arithmetic.ts";
import { brokenBits, brokenSymbols } from "./broken.ts";
import { carrierHzAt } from "./carrier.ts";
import { frameBits, type RawByField } from "./encode/frame-bits.ts";
import { frameSymbols, symbolsPerBit } from "./encode/frame-symbols.ts";
import { fieldValues } from "./field-values.ts";
import { amplitudeFor, onAirSeconds, onShare } from "./modulate.ts";
import { chance, uniform } from "./noise.ts";
import type { Scenario } from "./scenario.ts";
import type { Broken, Event, Level, Send, Sensor } from "./scenario-shape.ts";

/** One copy of a telegram on air, before any receiver hears it. */
export interface AirCopy {
  readonly layout: Layout;
  readonly symbols: Uint8Array;
  readonly atSeconds: number;
  readonly endSeconds: number;
  /** As sent, with the sensor's offset and walk, as the copy begins. */
  readonly carrierHz: number;
  readonly driftHzPerSecond: number;
  readonly clockPpm: number;
  readonly phaseTurns: number;
  /** Of the carrier while it is on, before the receiver's gain and before fading; 1 at full scale. */
  readonly amplitude: number;
  readonly fadings: readonly Fading[];
}

export type Fading = Extract<Event, { kind: "fading" }>;

/** One transmission of one sensor: a telegram and its copies, all of the same bits. */
export interface Sending {
  readonly sensor: Sensor;
  readonly layout: Layout;
  readonly raw: RawByField;
  /** The frame as it is sent, before whitening and line code, one bit each. */
  readonly bits: Uint8Array;
  /** What is wrong with it on purpose. */
  readonly broken: Broken | undefined;
  /** Ascending in time. */
  readonly copies: readonly AirCopy[];
}

/** One spark: it fills one sample. */
export interface Impulse {
  readonly atSeconds: number;
  readonly amplitude: number;
  readonly phaseTurns: number;
}

/** A carrier without keying. */
export interface PlainCarrier {
  readonly event: Extract<Event, { kind: "steady-carrier" | "pulsed-carrier" }>;
  readonly amplitude: number;
  readonly phaseTurns: number;
}

/** Everything that is on air, ascending in time. */
export interface Plan {
  readonly sendings: readonly Sending[];
  /** Every copy of every sending. */
  readonly copies: readonly AirCopy[];
  readonly longestCopySeconds: number;
  readonly carriers: readonly PlainCarrier[];
  readonly impulses: readonly Impulse[];
}

/** What a scenario puts on air, with everything that chance decides drawn from its seed. */
export function planOf(scenario: Scenario): Plan {
  const random = chance(scenario.seed, PLAN_STREAM);
  const fadings = (scenario.events ?? []).filter((event) => event.kind === "fading");
  const sendings = scenario.sensors.flatMap((sensor) =>
    (sensor.sends ?? []).map((send, i) => sendingOf(scenario, sensor, send, i, fadings, random)),
  );
  sendings.sort((a, b) => a.copies[0]!.atSeconds - b.copies[0]!.atSeconds);
  const copies = sendings.flatMap((sending) => sending.copies).sort((a, b) => a.atSeconds - b.atSeconds);
  const longestCopySeconds = copies.reduce((most, copy) => Math.max(most, copy.endSeconds - copy.atSeconds), 0);
  const carriers = carriersOf(scenario, random);
  return { sendings, copies, longestCopySeconds, carriers, impulses: impulsesOf(scenario, random) };
}

/** The copies that are on air at some moment between two, ascending by their start. */
export function copiesDuring(plan: Plan, fromSeconds: number, toSeconds: number): AirCopy[] {
  const first = firstFrom(plan.copies, fromSeconds - plan.longestCopySeconds);
  const during: AirCopy[] = [];
  for (let i = first; i < plan.copies.length && plan.copies[i]!.atSeconds < toSeconds; i++) {
    if (plan.copies[i]!.endSeconds > fromSeconds) during.push(plan.copies[i]!);
  }
  return during;
}

/** The impulses from one moment up to and without another. */
export function impulsesDuring(plan: Plan, fromSeconds: number, toSeconds: number): Impulse[] {
  return plan.impulses.slice(firstFrom(plan.impulses, fromSeconds), firstFrom(plan.impulses, toSeconds));
}

/** How far a copy's level has dropped at a moment, as a factor on its amplitude. */
export function fadedBy(fadings: readonly Fading[], seconds: number): number {
  let dropDb = 0;
  for (const { fromSeconds, toSeconds, dropDb: wholeDb } of fadings) {
    const share = (seconds - fromSeconds) / (toSeconds - fromSeconds);
    dropDb += wholeDb * Math.min(1, Math.max(0, share));
  }
  return Math.sqrt(powerFromDb(-dropDb));
}

/** Eb/N0 of a copy in dB at an amplitude of its carrier, where the noise has a power over the whole band. */
export function ebN0DbAt(copy: AirCopy, amplitude: number, noisePower: number, sampleRateHz: number): number {
  const meanPower = amplitude * amplitude * onShare(copy.layout, copy.symbols);
  const bitSeconds = symbolsPerBit(copy.layout) / copy.layout.symbolRate;
  return dbFromPower((meanPower * bitSeconds * sampleRateHz) / noisePower);
}

/** Streams of a scenario's chance: the noise, the plan, the lines. */
export const NOISE_STREAM = 0;
const PLAN_STREAM = 1;
export const LINES_STREAM = 2;

/** Index of the first entry at or after a moment. */
function firstFrom(entries: readonly { readonly atSeconds: number }[], seconds: number): number {
  let low = 0;
  let high = entries.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (entries[middle]!.atSeconds < seconds) low = middle + 1;
    else high = middle;
  }
  return low;
}

function sendingOf(
  scenario: Scenario,
  sensor: Sensor,
  send: Send,
  sendIndex: number,
  fadings: readonly Fading[],
  random: RandomGenerator,
): Sending {
  const layout = scenario.layoutById.get(sensor.layout);
  if (!layout) throw new RangeError(`no layout ${sensor.layout}`);
  const { raw } = fieldValues(layout, sensor, send, sendIndex, scenario.ambientKpa);
  const { broken = {} } = send;
  const bits = brokenBits(frameBits(layout, raw), broken);
  const symbols = brokenSymbols(layout, frameSymbols(layout, bits), broken);
  const clockPpm = sensor.clockPpm ?? 0;
  const copySeconds = onAirSeconds({ layout, symbols, clockPpm });
  const gapSeconds = (send.gapSeconds ?? layout.repeats?.gapSeconds ?? 0) / (1 + clockPpm * 1e-6);
  const shared = {
    layout,
    symbols,
    driftHzPerSecond: sensor.driftHzPerSecond ?? 0,
    clockPpm,
    amplitude: amplitudeOf(scenario, layout, symbols, send.level ?? sensor.level),
    fadings: fadings.filter((fading) => fading.sensor === sensor.name),
  };
  const copies = Array.from({ length: send.copies ?? layout.repeats?.count ?? 1 }, (_, i) => {
    const atSeconds = send.atSeconds + i * (copySeconds + gapSeconds);
    const carrierHz = carrierHzAt(sensor, atSeconds);
    return { ...shared, atSeconds, endSeconds: atSeconds + copySeconds, carrierHz, phaseTurns: uniform(random) };
  });
  return { sensor, layout, raw, bits, copies, broken: send.broken };
}

function amplitudeOf({ receiver }: Scenario, layout: Layout, symbols: Uint8Array, level: Level): number {
  if ("dbfs" in level) return Math.sqrt(powerFromDb(level.dbfs));
  const noisePower = powerFromDb(receiver.noiseDbfs);
  return amplitudeFor(layout, symbols, powerFromDb(level.ebN0Db), noisePower, receiver.sampleRateHz);
}

function carriersOf({ events }: Scenario, random: RandomGenerator): PlainCarrier[] {
  return (events ?? [])
    .filter((event) => event.kind === "steady-carrier" || event.kind === "pulsed-carrier")
    .map((event) => ({ event, amplitude: Math.sqrt(powerFromDb(event.dbfs)), phaseTurns: uniform(random) }));
}

/** The times of a Poisson process: the waits between two are exponential. */
function impulsesOf({ events }: Scenario, random: RandomGenerator): Impulse[] {
  const impulses: Impulse[] = [];
  for (const event of events ?? []) {
    if (event.kind !== "impulses") continue;
    const amplitude = Math.sqrt(powerFromDb(event.dbfs));
    const wait = () => -ln(1 - uniform(random)) / event.ratePerSecond;
    for (let at = event.fromSeconds + wait(); at < event.toSeconds; at += wait()) {
      impulses.push({ atSeconds: at, amplitude, phaseTurns: uniform(random) });
    }
  }
  return impulses.sort((a, b) => a.atSeconds - b.atSeconds);
}
