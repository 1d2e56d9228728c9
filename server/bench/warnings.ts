import type { GaugeRatio } from "./gaugeRatio.ts";
import type { Lot } from "./lot.ts";

export interface Warning {
  readonly strength: "stop" | "look here" | "note";
  readonly says: string;
}

/** What no bench with a pot tells. */
export const NOT_TESTED: readonly string[] = [
  "Waking by rolling: nothing turns in the pot.",
  "The alert at a fast loss of pressure: the pot is filled and let down slowly.",
  "The range on a car: a pot is neither a rim nor a tyre.",
  "How long the cell lasts, and how the part ages, in heat, cold and under vibration.",
  "Whether a vehicle takes the part: a layout that reads right may still not be the vehicle's.",
];

/** What should be put right or thought of before the test. */
export function warningsOf(lot: Lot, ratio: GaugeRatio | undefined, todayMs: number): readonly Warning[] {
  const { fixture, gauge, limits, setPoints } = lot;
  const warnings: Warning[] = [];
  const add = (strength: Warning["strength"], says: string) => warnings.push({ strength, says });
  if (ratio && !ratio.enough) add("look here", ratio.says);
  const highest = Math.max(0, ...setPoints.map(({ kpa }) => kpa));
  if (fixture.ratedKpa !== null && highest > fixture.ratedKpa) {
    add("stop", `A set point of ${highest} kPa is beyond what the pot may hold, ${fixture.ratedKpa} kPa.`);
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
  const calibrated = Date.parse(gauge.calibratedOn);
  if (Number.isFinite(calibrated) && todayMs - calibrated > YEAR_MS) {
    add("look here", `The gauge was calibrated more than a year ago, on ${gauge.calibratedOn}.`);
  }
  if (lot.sample !== null && lot.quantity !== null && lot.sample > lot.quantity) {
    add("look here", `A sample of ${lot.sample} is more than the delivery of ${lot.quantity}.`);
  }
  if (limits.pressureKpa !== null && lot.rule.kind === "simple") {
    add("note", "By simple acceptance a specimen right on the limit is called within every second time.");
  }
  return warnings;
}

const YEAR_MS = 366 * 86_400_000;
