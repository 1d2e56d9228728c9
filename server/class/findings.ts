import { bitsOfHex } from "../../decoders/frames/hex.ts";
import { firstMissed } from "../../decoders/ladder/rungs.ts";
import type { BurstRecord, TelegramRecord } from "../../decoders/records.ts";
import type { Value, Values } from "./drawn.ts";
import type { Finding } from "./exercise.ts";
import { evaluated } from "./formula.ts";
import { type CarCase, identityIn, type Recorded } from "./recorded.ts";
import { wheelOf, wornAt } from "./walked.ts";

/** What an exercise's findings are looked for in. */
export interface Ground {
  readonly values: Values;
  readonly recorded: Recorded | undefined;
  readonly car: CarCase | undefined;
}

class FindingError extends Error {}

/**
 * What the tool finds: the same that its pages show.
 *
 * @throws FindingError with a sentence where it is not there; FormulaError.
 */
export function foundValue(finding: Finding, ground: Ground): Value {
  if ("formula" in finding) return evaluated(finding.formula, ground.values);
  if ("car" in finding) return ofCar(finding.car, ground.car);
  const recorded = ground.recorded;
  if (!recorded) throw new FindingError("The exercise has no recording in which it could be found.");
  if ("burst" in finding) return ofBurst(finding, recorded);
  if ("telegram" in finding) return ofTelegram(finding, recorded);
  if ("recording" in finding) return ofRecording(finding.recording, recorded);
  if ("wornAt" in finding) return there(wornAt(finding.wornAt, recorded), `wake of ${finding.wornAt}`);
  if ("wheelOf" in finding) {
    const identity = String(there(ground.values.get(finding.wheelOf), finding.wheelOf));
    return there(wheelOf(identity, recorded), `wheel of ${identity}`).toString().replaceAll(" ", "-");
  }
  if ("answeredAfter" in finding) return answeredAfter(finding.answeredAfter, recorded);
  switch (finding.count) {
    case "bursts":
      return recorded.bursts.length;
    case "telegrams":
      return recorded.telegrams.length;
    case "sensors":
      return recorded.summary.sensors.length;
  }
}

function ofCar(what: Extract<Finding, { car: string }>["car"], car: CarCase | undefined): Value {
  const [first] = car?.ranked ?? [];
  if (!car || !first) throw new FindingError("The exercise has no car.");
  switch (what) {
    case "cause":
      return first.cause.id;
    case "probability":
      return first.probability;
    case "state":
      return car.line.state;
    case "position":
      return car.line.position;
    case "gaugeKpa":
      return there(car.line.gaugeKpa, "pressure of the wheel in question");
    case "decided":
    case "also": {
      const speaking = first.reasons.filter(({ weight }) => weight > 0);
      return there(speaking[what === "decided" ? 0 : 1]?.words, "outcome that speaks for it");
    }
  }
}

function ofBurst(finding: Extract<Finding, { burst: number }>, { bursts }: Recorded): Value {
  const burst = bursts.find(({ index }) => index === finding.burst);
  if (!burst) throw new FindingError(`There is no burst ${finding.burst}: ${bursts.length} were heard.`);
  if ("measure" in finding) return there(burst[finding.measure], `${finding.measure} of burst ${burst.index}`);
  if ("outcome" in finding) return burst.outcome;
  if ("symbols" in finding) return symbolsOf(burst, finding.symbols.from, finding.symbols.count);
  const missed = burst.rungs.find(({ passed }) => passed === false);
  if (!missed) throw new FindingError(`Burst ${burst.index} misses no rung.`);
  return there(missed[finding.missed], `${finding.missed} of rung ${missed.rung}`);
}

function ofTelegram(finding: Extract<Finding, { telegram: number }>, { telegrams }: Recorded): Value {
  const telegram = telegrams[finding.telegram];
  if (!telegram) throw new FindingError(`There is no telegram ${finding.telegram}: ${telegrams.length} were read.`);
  if ("bits" in finding) return bitsOf(telegram, finding.bits.from, finding.bits.count);
  if ("measure" in finding) {
    if (finding.measure === "copies") return telegram.repeats.length;
    return there(telegram[finding.measure], finding.measure);
  }
  const field = telegram.fields[finding.field];
  if (!field) throw new FindingError(`There is no field ${finding.field} in ${telegram.layout}.`);
  if (finding.as === "raw") return field.raw;
  if (finding.as === "gauge") return there(field.kPaGauge, `gauge pressure of ${finding.field}`);
  return typeof field.value === "boolean" ? String(field.value) : there(field.value, finding.field);
}

function ofRecording(what: "outcome" | "interfererHz" | "interfererShare", { summary }: Recorded): Value {
  if (what === "outcome") return firstMissed(summary.rungs) ?? "telegram";
  const [interferer] = summary.interferers;
  if (!interferer) throw new FindingError("No steady carrier was heard.");
  return what === "interfererHz" ? interferer.carrierHz : interferer.share;
}

/** The first sensor that was heard after a wake and before the next one. */
function answeredAfter(position: string, { wakes, telegrams }: Recorded): Value {
  const at = wakes.findIndex((wake) => wake.position === position);
  const wake = wakes[at];
  if (!wake) throw new FindingError(`The wheel ${position} was not woken.`);
  const until = wakes[at + 1]?.atSeconds ?? Number.POSITIVE_INFINITY;
  const answer = telegrams.find(({ atSeconds }) => atSeconds >= wake.atSeconds && atSeconds < until);
  const identity = answer && identityIn(answer);
  return identity ?? "nobody";
}

function symbolsOf({ symbols, symbolCount, index }: BurstRecord, from: number, count: number): string {
  if (symbols === null || symbolCount < from + count) {
    throw new FindingError(`Burst ${index} was not cut into ${from + count} symbols.`);
  }
  return bitsOfHex(symbols, from + count)
    .subarray(from)
    .join("");
}

function bitsOf({ bits, bitCount }: TelegramRecord, from: number, count: number): string {
  if (bitCount < from + count) throw new FindingError(`The telegram has ${bitCount} bits.`);
  return bitsOfHex(bits, from + count)
    .subarray(from)
    .join("");
}

function there(value: Value | null | undefined, what: string): Value {
  if (value === null || value === undefined) throw new FindingError(`There is no ${what}.`);
  return value;
}
