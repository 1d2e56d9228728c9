import { emptyWheel, type JobInputBody } from "../../server/http/wire.ts";
import { wheelSlug } from "./route.ts";

/** Positions in the order in which they stand on a card. */
const POSITIONS: readonly string[] = [
  "left front",
  "right front",
  "left rear",
  "right rear",
  "left rear inner",
  "right rear inner",
  "spare",
];

type Wheel = JobInputBody["wheels"][number];

/** The wheel that an address names; `undefined` if the card has none such. */
export function wheelBySlug<T extends { readonly position: string }>(
  wheels: readonly T[],
  slug: string,
): T | undefined {
  return wheels.find(({ position }) => wheelSlug(position) === slug);
}

/** The same wheels, one of them with another sensor, and that sensor on no other wheel. */
export function withSensor(wheels: readonly Wheel[], position: string, identity: string | null): Wheel[] {
  return wheels.map((wheel) => {
    if (wheel.position === position) return { ...wheel, identity };
    return identity !== null && wheel.identity === identity ? { ...wheel, identity: null } : wheel;
  });
}

/** A sensor that was heard and could be put on a wheel. */
export interface SensorChoice {
  readonly identity: string;
  readonly carrierHz: number | null;
  readonly gaugeKpa: number | null;
  /** The wheel that has it now. */
  readonly from: string | undefined;
}

/** What a wheel could be given: first the sensors that no wheel has, then those of the other wheels. */
export function choicesFor(
  { lines, others }: { readonly lines: readonly HeardLine[]; readonly others: readonly HeardOther[] },
  position: string,
): SensorChoice[] {
  const free = others.map(({ identity, carrierHz, gaugeKpa }) => ({ identity, carrierHz, gaugeKpa, from: undefined }));
  const taken = lines.flatMap(({ identity, carrierHz, gaugeKpa, position: from, state }) =>
    identity === null || state !== "heard" || from === position ? [] : [{ identity, carrierHz, gaugeKpa, from }],
  );
  return [...free, ...taken];
}

interface HeardOther {
  readonly identity: string;
  readonly carrierHz: number | null;
  readonly gaugeKpa: number | null;
}

interface HeardLine extends Omit<HeardOther, "identity"> {
  readonly position: string;
  readonly identity: string | null;
  readonly state: string;
}

/** The wheels with one more, in the order of a card. */
export function withWheel(wheels: readonly Wheel[], position: string): Wheel[] {
  if (wheels.some((wheel) => wheel.position === position)) return [...wheels];
  const rank = (name: string) => {
    const at = POSITIONS.indexOf(name);
    return at < 0 ? POSITIONS.length : at;
  };
  return [...wheels, emptyWheel(position)].toSorted((a, b) => rank(a.position) - rank(b.position));
}

/** Positions that could still be put on a card. */
export function freePositions(wheels: readonly Wheel[]): string[] {
  return POSITIONS.filter((known) => !wheels.some(({ position }) => position === known));
}
