import type { SpecimenWake } from "../../server/bench/bodies.ts";
import type { Lot } from "../../server/bench/lot.ts";
import { emptyLot } from "../../server/bench/lot.ts";
import type { Said } from "../../server/bench/said.ts";

// Small things of a bench, each whole and plain; what a test is about it changes. Times are seconds from the beginning.

export const said = (identity: string, seconds: number, change: Partial<Said> = {}): Said => ({
  id: `${identity} at ${seconds}`,
  atMs: 1000 * seconds,
  identity,
  layout: "ice-lorry",
  kpa: 0,
  stepKpa: 0.5,
  absolute: false,
  temperatureC: 21,
  stepC: 0.25,
  battery: "good",
  carrierHz: 433_920_000,
  deviationHz: null,
  symbolRate: 20_000,
  levelDb: 40,
  levelIs: "over the noise",
  source: "receiver r1",
  alsoOn: [],
  recording: null,
  ...change,
});

export const wake = (number: number, seconds: number, by: SpecimenWake["by"] = "receiver"): SpecimenWake => ({
  number,
  atMs: 1000 * seconds,
  by,
});

export const specimenEntry = (number: number, change: Partial<Lot["specimens"][number]> = {}) => ({
  number,
  identity: null,
  body: "",
  label: "",
  note: "",
  leftOut: "",
  ...change,
});

export const fillEntry = (
  id: string,
  gaugeKpa: number,
  seconds: number,
  change: Partial<Lot["fills"][number]> = {},
) => ({
  id,
  gaugeKpa,
  temperatureC: null,
  setPoint: null,
  at: new Date(1000 * seconds).toISOString(),
  endedAt: null,
  ...change,
});

/** A gauge of U = 1 kPa and a limit of 5 kPa. */
export function usualLot(change: Partial<Lot> = {}): Lot {
  const lot = emptyLot();
  return {
    ...lot,
    limits: { ...lot.limits, pressureKpa: 5 },
    gauge: { ...lot.gauge, stated: "certificate", errorKpa: 1 },
    fixture: { ...lot.fixture, carrierErrorPpm: 2.5 },
    ...change,
  };
}
