import type { Field, Layout } from "../decoders/layouts/schema.ts";
import { type RawByField, rawRange } from "./encode/frame-bits.ts";
import { pressureInUnit, rawFromPhysical, temperatureInUnit } from "./encode/raw-from-physical.ts";
import type { FieldValues, Send, Sensor } from "./scenario-shape.ts";

/** A value that a field cannot hold: which key of the sensor gives it, and what would be taken. */
export interface ValueFault {
  readonly key: string;
  readonly found: unknown;
  readonly allowed: string;
}

/**
 * The raw integers of one send: its own values, else the sensor's, else pressure and temperature of that moment, else 0.
 *
 * @param sendIndex Which of the sensor's sends, for the keys of faults.
 * @returns `raw` for every field but constants; `faults`, empty if every field holds its value. A faulty one is left out.
 */
export function fieldValues(
  layout: Layout,
  sensor: Sensor,
  send: Send,
  sendIndex: number,
  ambientKpa: number,
): { readonly raw: RawByField; readonly faults: readonly ValueFault[] } {
  const raw: Record<string, number | bigint> = {};
  const faults: ValueFault[] = [];
  for (const field of layout.fields) {
    if (field.type === "constant") continue;
    const source = sourceOf(field, sensor, send, sendIndex, ambientKpa);
    const { least, greatest } = rawRange(field);
    if (source.raw === undefined) faults.push({ key: source.key, found: source.found, allowed: source.allowed });
    else if (source.raw < least || source.raw > greatest) {
      const allowed = `what ${field.bits} bits of ${field.name} hold, raw ${least} to ${greatest}`;
      faults.push({ key: source.key, found: source.found, allowed });
    } else raw[field.name] = source.raw;
  }
  return { raw, faults };
}

/** A quantity at a moment: straight lines between the points, level outside them. */
export function interpolated(
  points: readonly (readonly [atSeconds: number, value: number])[],
  seconds: number,
): number {
  const behind = points.findIndex(([at]) => at > seconds);
  const [endSeconds, endValue] = points[behind] ?? points.at(-1)!;
  const [startSeconds, startValue] = points[behind - 1] ?? [endSeconds, endValue];
  if (endSeconds <= startSeconds) return endValue;
  return startValue + ((seconds - startSeconds) / (endSeconds - startSeconds)) * (endValue - startValue);
}

type Source =
  | { readonly key: string; readonly found: unknown; readonly raw: number | bigint }
  | { readonly key: string; readonly found: unknown; readonly raw: undefined; readonly allowed: string };

function sourceOf(field: Field, sensor: Sensor, send: Send, sendIndex: number, ambientKpa: number): Source {
  if (field.type === "identity") {
    return { key: "identity", found: sensor.identity, raw: BigInt(`0x${sensor.identity}`) };
  }
  const own = send.values?.[field.name];
  if (own !== undefined) return fromGiven(field, own, `sends[${sendIndex}].values.${field.name}`);
  const general = sensor.values?.[field.name];
  if (general !== undefined) return fromGiven(field, general, `values.${field.name}`);
  if (field.quantity === "pressure") {
    const points = sensor.pressureKpa?.map(({ atSeconds, kPa }) => [atSeconds, kPa] as const);
    if (!points) return missing("pressureKpa", field);
    const gaugeKpa = interpolated(points, send.atSeconds);
    const raw = rawFromPhysical(field, pressureInUnit(field, gaugeKpa, ambientKpa));
    return { key: "pressureKpa", found: gaugeKpa, raw };
  }
  if (field.quantity === "temperature") {
    const points = sensor.temperatureC?.map(({ atSeconds, degC }) => [atSeconds, degC] as const);
    if (!points) return missing("temperatureC", field);
    const temperatureC = interpolated(points, send.atSeconds);
    return {
      key: "temperatureC",
      found: temperatureC,
      raw: rawFromPhysical(field, temperatureInUnit(field, temperatureC)),
    };
  }
  return { key: `values.${field.name}`, found: undefined, raw: 0 };
}

function missing(key: string, field: Field): Source {
  return { key, found: undefined, raw: undefined, allowed: `points over time, for the field ${field.name}` };
}

function fromGiven(field: Field, given: FieldValues[string], key: string): Source {
  if (typeof given === "number") return { key, found: given, raw: given };
  if (typeof given === "boolean") {
    if (field.type === "flag") return { key, found: given, raw: given ? 1 : 0 };
    return { key, found: given, raw: undefined, allowed: `no true or false, with type ${field.type}` };
  }
  if (typeof given === "string") {
    const [raw] = Object.entries(field.values ?? {}).find(([, word]) => word === given) ?? [];
    if (raw !== undefined) return { key, found: given, raw: Number(raw) };
    return { key, found: given, raw: undefined, allowed: Object.values(field.values ?? {}).join(", ") || "no text" };
  }
  if (field.type === "unsigned" || field.type === "signed") {
    return { key, found: given.physical, raw: rawFromPhysical(field, given.physical) };
  }
  return { key, found: given, raw: undefined, allowed: `no physical value, with type ${field.type}` };
}
