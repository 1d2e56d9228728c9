import type { AmbientAir } from "../jobs/pressure/ambientAir.ts";
import { halfEntered } from "./figures.ts";
import type { GaugeRatio } from "./gaugeRatio.ts";
import type { Lot } from "./lot.ts";
import { carrierLimitHz } from "./radio.ts";
import type { Plan } from "./statistics/acceptance.ts";

export interface Warning {
  readonly strength: "stop" | "look here" | "note";
  readonly says: string;
}

/** What no bench with a pot tells. */
export const NOT_TESTED: readonly string[] = [
  "Waking by rolling: nothing turns in the pot.",
  "The alert at a fast loss of pressure.",
  "The range on a car: a pot is neither rim nor tyre.",
  "How long the cell lasts, and how the part ages.",
  "Whether a vehicle takes the part.",
];

/** What was seen of a lot so far, as far as it warns. */
export interface SeenOfLot {
  readonly tellsAbsolute: boolean;
  /** Sensors that were heard, not put aside, and are more than were drawn. */
  readonly beyondDrawn: number;
  /** The smallest plan that keeps both risks. */
  readonly needed: Plan | null;
}

/** What should be put right or thought of before the test. */
export function warningsOf(
  lot: Lot,
  ratio: GaugeRatio | undefined,
  air: Pick<AmbientAir, "from" | "doubt">,
  { tellsAbsolute, beyondDrawn, needed }: SeenOfLot,
  todayMs: number,
): readonly Warning[] {
  const { fixture, gauge, limits, setPoints } = lot;
  const warnings: Warning[] = [];
  const add = (strength: Warning["strength"], says: string) => warnings.push({ strength, says });
  if (ratio && !ratio.enough) add("look here", ratio.says);
  const highest = Math.max(0, ...setPoints.map(({ kpa }) => kpa));
  if (fixture.ratedKpa !== null && highest > fixture.ratedKpa) {
    add("stop", `A set point of ${highest} kPa is beyond what the pot may hold, ${fixture.ratedKpa} kPa.`);
  }
  const filled = Math.max(0, ...lot.fills.map(({ gaugeKpa }) => gaugeKpa));
  if (fixture.ratedKpa !== null && filled > fixture.ratedKpa) {
    add(
      "stop",
      `${filled} kPa was written down, beyond what the pot may hold, ${fixture.ratedKpa} kPa: let it down, or put the figure right.`,
    );
  }
  if (beyondDrawn > 0) {
    const more = beyondDrawn === 1 ? "One sensor was heard more" : `${beyondDrawn} sensors were heard more`;
    add("stop", `${more} than the ${lot.sample} that were drawn. Put that number right, or put them aside.`);
  }
  const { sample } = lot;
  if (sample !== null && (needed === null || sample < needed.sample || lot.plan.accept > needed.accept)) {
    const { goodPercent, badPercent } = lot.plan;
    const plan = needed
      ? `${needed.sample} with at most ${needed.accept} outside would`
      : "no plan of up to 2,000 specimens would";
    add(
      "note",
      `${sample} drawn with at most ${lot.plan.accept} outside does not keep both risks, at ${goodPercent} and ${badPercent} % outside; ${plan}.`,
    );
  }
  if (fixture.kind === "metal pot, antenna outside") {
    add(
      "look here",
      "A metal pot shields: put the antenna inside, or take a plastic pot. Levels from outside tell of the pot.",
    );
  }
  if (fixture.kind === "metal pot, antenna inside") {
    add("note", "A metal pot reflects: levels hold against each other only with every specimen in the same place.");
  }
  if (!fixture.wokenOneByOne) {
    add(
      "look here",
      "Woken together they may answer at once and cover each other: hold the wake-up field to one at a time.",
    );
  }
  if (gauge.name !== "" && gauge.calibratedOn === "")
    add("look here", "When was the gauge calibrated? The record has to name it.");
  if (gauge.errorKpa !== null && gauge.name === "") add("look here", "Which gauge is it? The record has to name it.");
  const calibrated = Date.parse(gauge.calibratedOn);
  if (Number.isFinite(calibrated) && calibrated > todayMs) {
    add("look here", `The gauge's calibration, ${gauge.calibratedOn}, is still to come.`);
  }
  if (Number.isFinite(calibrated) && todayMs - calibrated > YEAR_MS) {
    add("look here", `The gauge was calibrated more than a year ago, on ${gauge.calibratedOn}.`);
  }
  const carrierHz = carrierLimitHz(limits);
  if (carrierHz !== null && limits.carrierHz !== null) {
    if (fixture.carrierErrorPpm === null) {
      add("look here", "How good is the receiver's reference? Without it no carrier can be judged.");
    } else if (carrierHz < ENOUGH * limits.carrierHz * fixture.carrierErrorPpm * 1e-6) {
      const khz = (limits.carrierHz * fixture.carrierErrorPpm) / 1e9;
      add(
        "look here",
        `The receiver's reference is good to ± ${khz.toFixed(2)} kHz, coarse for a limit of ± ${(carrierHz / 1000).toFixed(2)} kHz.`,
      );
    }
  }
  const { temperatureErrorC } = gauge;
  if (limits.temperatureC !== null && temperatureErrorC !== null && limits.temperatureC < ENOUGH * temperatureErrorC) {
    add(
      "look here",
      `The thermometer is good to ± ${temperatureErrorC} °C, coarse for a limit of ± ${limits.temperatureC} °C.`,
    );
  }
  for (const { of } of halfEntered(limits)) add("look here", `${of}: only half of its limit is entered.`);
  if (tellsAbsolute && air.from === "sea level") {
    add(
      "stop",
      "These sensors tell absolute pressure: enter a barometer or the altitude, or no pressure can be judged.",
    );
  }
  if (air.doubt !== "") add("look here", air.doubt);
  if (lot.sample !== null && lot.quantity !== null && lot.sample > lot.quantity) {
    add("look here", `A sample of ${lot.sample} is more than the delivery of ${lot.quantity}.`);
  }
  if (limits.pressureKpa !== null && lot.rule.kind === "simple") {
    add("note", "By simple acceptance a specimen right on the limit is called within every second time.");
  }
  return warnings;
}

/** A limit should be so many times what it is held against with. @source Common practice, no source. */
const ENOUGH = 4;
const YEAR_MS = 366 * 86_400_000;
