import type { Body } from "./bodies.ts";
import { fitsFormat } from "./figures.ts";
import type { Lot } from "./lot.ts";
import type { RadioFigures } from "./radio.ts";
import type { Registered } from "./register.ts";
import { robustView } from "./statistics/robust.ts";

/** What is odd about a specimen, told as soon as it is heard. */
export interface Flag {
  readonly kind: "duplicate" | "format" | "carrier" | "layout" | "earlier lot" | "battery" | "carrier walks" | "level";
  readonly says: string;
}

/** Another band, not another specimen's tolerance. */
export const ANOTHER_CARRIER_HZ = 100e3;
/** A walk of less is none, whatever the others do. @source Common practice, no source. */
const LEAST_WALK_HZ = 1000;

/** What the specimens of a lot have in common, against which one is odd. */
export interface Common {
  readonly carrierHz: number | null;
  readonly layout: string | null;
  /** By number: how far each one's carrier went. */
  readonly walks: ReadonlyMap<number, number>;
  readonly levels: ReadonlyMap<number, number>;
}

/** @param earlier Of an identity, the title and id of an earlier lot that it was in. */
export function flagsOf(
  lot: Lot,
  { number, body, identity, suspectOf }: Registered,
  radio: RadioFigures | undefined,
  twins: readonly number[],
  common: Common,
  earlier: (identity: string) => string | undefined,
): readonly Flag[] {
  const flags: Flag[] = [];
  const add = (kind: Flag["kind"], says: string) => flags.push({ kind, says });
  if (suspectOf !== null) {
    const way = "the wake-up field reached that one, or both have one identity";
    add(
      "duplicate",
      `Specimen ${suspectOf} answered this wake: ${way}. Take ${suspectOf} away and wake this one again.`,
    );
  }
  if (twins.length > 0) {
    add("duplicate", `${identity} is also that of specimen ${twins.join(" and ")}.`);
  }
  if (!body || !radio) return flags;
  if (!fitsFormat(body.identity, lot.limits.identity)) {
    add("format", `${body.identity} does not have the form ${lot.limits.identity}.`);
  }
  const { carrierHz } = radio;
  const expectedHz = lot.limits.carrierHz ?? common.carrierHz;
  if (carrierHz !== null && expectedHz !== null && Math.abs(carrierHz - expectedHz) > ANOTHER_CARRIER_HZ) {
    add("carrier", `It sends on ${megahertz(carrierHz)}, not on ${megahertz(expectedHz)}.`);
  }
  const layout = layoutOf(body);
  const expected = lot.limits.layout === "" ? common.layout : lot.limits.layout;
  if (expected !== null && layout !== expected) {
    add("layout", `It speaks ${layout}, ${lot.limits.layout === "" ? "most others" : "asked for is"} ${expected}.`);
  }
  const before = earlier(body.identity);
  if (before !== undefined) add("earlier lot", `${body.identity} was in lot ${before} already.`);
  if (radio.batteryLow) add("battery", "It says that its battery is low.");
  if (radio.walk && walks(number, common.walks) && Math.abs(radio.walk.hz) > 2 * radio.walk.expandedHz) {
    const others = middleOf([...common.walks].flatMap(([other, hz]) => (other === number ? [] : [Math.abs(hz)])));
    const beside = others === undefined ? "" : `; the others went ${Math.round(others)} Hz`;
    add("carrier walks", `Its carrier went ${signed(Math.round(radio.walk.hz))} Hz over the test${beside}.`);
  }
  if (isOddIn(common.levels, number)) {
    const own = common.levels.get(number)!;
    const rest = robustView([...common.levels.values()]).median;
    add(
      "level",
      `It comes in ${Math.abs(own - rest).toFixed(0)} dB ${own < rest ? "weaker" : "louder"} than the middle of the lot.`,
    );
  }
  return flags;
}

/** Against the others where there are some, else by the plain figure. */
function walks(number: number, all: ReadonlyMap<number, number>): boolean {
  const own = Math.abs(all.get(number) ?? 0);
  if (own < LEAST_WALK_HZ) return false;
  if (all.size < LEAST_OF_LOT) return own > 5 * LEAST_WALK_HZ;
  return isOddIn(all, number);
}

const LEAST_OF_LOT = 5;

/** By robust z over 3.5. */
function isOddIn(values: ReadonlyMap<number, number>, number: number): boolean {
  if (values.size < LEAST_OF_LOT || !values.has(number)) return false;
  const numbers = [...values.keys()];
  return robustView([...values.values()]).odd.some((index) => numbers[index] === number);
}

/** The layout that most of its telegrams speak. */
export function layoutOf({ said }: Body): string {
  const counts = new Map<string, number>();
  for (const { layout } of said) counts.set(layout, (counts.get(layout) ?? 0) + 1);
  return [...counts].reduce((most, one) => (one[1] > most[1] ? one : most))[0];
}

function middleOf(values: readonly number[]): number | undefined {
  return values.length === 0 ? undefined : robustView(values).median;
}

function megahertz(hz: number): string {
  return `${(hz / 1e6).toFixed(3)} MHz`;
}

function signed(value: number): string {
  return value < 0 ? `−${-value}` : `+${value}`;
}
