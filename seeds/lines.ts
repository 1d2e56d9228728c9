import { dbFromPower, powerFromDb } from "./arithmetic.ts";
import { halfWidthHz } from "./band.ts";
import { collides, type Hearing, hearingsOf, isLost } from "./hearing.ts";
import { hexOfBits } from "./hex-of-bits.ts";
import { chance } from "./noise.ts";
import { type AirCopy, copiesDuring, fadedBy, LINES_STREAM, type Plan } from "./plan.ts";
import type { Scenario } from "./scenario.ts";
import { drawSoftSymbols } from "./soft-symbols.ts";
import { symbolEnergies } from "./symbol-energies.ts";
import { timeOfDay } from "./time-of-day.ts";
import { type Tuning, tuningsOf } from "./tunings.ts";

/**
 * What a receiver that cuts bursts into symbols itself would say of everything on air: one JSON text a line, in order
 * of time. It reports its level at each tuning, hears only bursts that are wholly in its time and band, and of two that
 * collide only the stronger one.
 */
export function receiverLines(scenario: Scenario, plan: Plan): string[] {
  const { receiver, startsAt, seed } = scenario;
  const reports = [...tuningReports(scenario, plan), ...eventReports(scenario, plan), ...burstReports(scenario, plan)];
  reports.sort((a, b) => a.atSeconds - b.atSeconds);
  const carrierHz = [...new Set(receiver.tunings.map((tuning) => tuning.carrierHz))];
  const hello = { type: "hello", receiver: receiver.name, protocol: 1, boot: `seed ${seed}`, carrierHz };
  const numbered = reports.map(({ atSeconds, type, timed, keys }, i) => {
    const at = timed ? { at: timeOfDay(startsAt, atSeconds) } : {};
    return { type, sequence: i + 1, ...at, ...keys };
  });
  return [hello, ...numbered].map((line) => JSON.stringify(line));
}

interface Report {
  readonly type: "burst" | "wake" | "level" | "lost";
  readonly atSeconds: number;
  /** Whether the line tells its time. */
  readonly timed: boolean;
  readonly keys: Readonly<Record<string, unknown>>;
}

const FULL_SCALE_DBM = -20;

function tuningReports(scenario: Scenario, plan: Plan): Report[] {
  return tuningsOf(scenario).map(({ fromSample }) =>
    levelReport(scenario, plan, fromSample / scenario.receiver.sampleRateHz),
  );
}

function eventReports(scenario: Scenario, plan: Plan): Report[] {
  const lostEvents = (scenario.events ?? []).filter((event) => event.kind === "lost");
  const lost = lostEvents.map((event) => {
    const count = heardCopies(scenario, plan).filter(
      ({ copy }) => lostEvents.find((other) => isLost(other, copy)) === event,
    ).length;
    return { type: "lost" as const, atSeconds: event.toSeconds, timed: false, keys: { count }, count };
  });
  const told = (scenario.events ?? []).flatMap((event): Report[] => {
    if (event.kind === "level") return [levelReport(scenario, plan, event.atSeconds)];
    if (event.kind !== "wake") return [];
    const { atSeconds, position } = event;
    return [{ type: "wake", atSeconds, timed: true, keys: position === undefined ? {} : { position } }];
  });
  return [...told, ...lost.filter(({ count }) => count > 0)];
}

function levelReport(scenario: Scenario, plan: Plan, atSeconds: number): Report {
  const { receiver } = scenario;
  const tuning = tuningsOf(scenario).findLast(
    ({ fromSample }) => fromSample <= atSeconds * receiver.sampleRateHz + 0.5,
  )!;
  const power = plan.carriers
    .filter(({ event }) => Math.abs(event.carrierHz - tuning.carrierHz) < receiver.sampleRateHz / 2)
    .filter(({ event }) => event.fromSeconds <= atSeconds && atSeconds < event.toSeconds)
    .reduce((sum, { amplitude }) => sum + amplitude * amplitude, powerFromDb(receiver.noiseDbfs));
  return { type: "level", atSeconds, timed: true, keys: { carrierHz: tuning.carrierHz, dbm: dbm(scenario, power) } };
}

function burstReports(scenario: Scenario, plan: Plan): Report[] {
  const random = chance(scenario.seed, LINES_STREAM);
  const lostEvents = (scenario.events ?? []).filter((event) => event.kind === "lost");
  return heardCopies(scenario, plan)
    .filter(({ copy }) => !lostEvents.some((event) => isLost(event, copy)))
    .map(({ copy, tuning }) => {
      const { layout } = copy;
      const energies = symbolEnergies(scenario, plan, copy, tuning);
      const { symbols, confidence } = drawSoftSymbols(layout.modulation, copy.symbols, energies, random);
      const amplitude = copy.amplitude * fadedBy(copy.fadings, copy.atSeconds);
      const { noiseDbfs, sampleRateHz } = scenario.receiver;
      const noiseInBurst = (powerFromDb(noiseDbfs) / sampleRateHz) * 2 * halfWidthHz(layout);
      const keys = {
        carrierHz: tuning.carrierHz,
        offsetHz: Math.round(copy.carrierHz - tuning.carrierHz),
        modulation: layout.modulation,
        symbolRate: Math.round(layout.symbolRate * (1 + copy.clockPpm * 1e-6) * 10) / 10,
        symbols: hexOfBits(symbols),
        symbolCount: symbols.length,
        confidence: btoa(String.fromCharCode(...confidence)),
        rssiDbm: dbm(scenario, amplitude * amplitude),
        noiseDbm: dbm(scenario, noiseInBurst),
      };
      return { type: "burst", atSeconds: copy.atSeconds, timed: true, keys };
    });
}

/** The copies that the receiver makes a burst of, ascending in time. */
function heardCopies(scenario: Scenario, plan: Plan): { readonly copy: AirCopy; readonly tuning: Tuning }[] {
  const whole = plan.sendings.flatMap((sending) =>
    hearingsOf(scenario, plan, sending).flatMap((hearing: Hearing, i) =>
      hearing.reached === "whole" ? [{ copy: sending.copies[i]!, tuning: hearing.tuning }] : [],
    ),
  );
  whole.sort((a, b) => a.copy.atSeconds - b.copy.atSeconds);
  const heard = new Set(whole.map(({ copy }) => copy));
  return whole.filter(
    ({ copy }) =>
      !copiesDuring(plan, copy.atSeconds, copy.endSeconds).some((other) => heard.has(other) && drowns(other, copy)),
  );
}

function drowns(other: AirCopy, copy: AirCopy): boolean {
  if (other === copy || !collides(copy, other)) return false;
  return other.amplitude > copy.amplitude || (other.amplitude === copy.amplitude && other.atSeconds < copy.atSeconds);
}

function dbm({ receiver }: Scenario, power: number): number {
  return Math.round((dbFromPower(power) + (receiver.fullScaleDbm ?? FULL_SCALE_DBM)) * 10) / 10;
}
