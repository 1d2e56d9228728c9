import type { Field } from "../decoders/layouts/schema.ts";
import { type Hearing, hearingsOf } from "./hearing.ts";
import { hexOfBits } from "./hex-of-bits.ts";
import type { Plan, Sending } from "./plan.ts";
import type { Scenario } from "./scenario.ts";
import type { Broken, Event } from "./scenario-shape.ts";

/** One transmission that reached the receiver with at least one whole copy. Times count from the first sample. */
export interface SentTruth {
  readonly sensor: string;
  readonly layout: string;
  /** Small hex digits at the field's full width. */
  readonly identity: string;
  /** When the first whole copy's first preamble symbol begins. */
  readonly atSeconds: number;
  /** Likewise for every whole copy. */
  readonly copies: readonly number[];
  /** Those that nothing disturbs: not weak, not clipped, not broken, no collision, no interferer. */
  readonly cleanCopies: readonly number[];
  /** As sent, with the sensor's offset and walk. */
  readonly carrierHz: number;
  /** What is wrong with it on purpose; no copy of it is clean. */
  readonly broken?: Broken;
  /** True where no copy is clean. */
  readonly mayBeMissed: boolean;
  /** Everything that disturbs a copy of a telegram that may be missed. */
  readonly because?: string;
}

export interface TelegramTruth extends SentTruth {
  /** As sent, before whitening and line code: hex, first bit highest, padded with zero bits to a whole digit. */
  readonly bits: string;
  readonly bitCount: number;
  /** As they were meant, before a bit was turned on purpose. */
  readonly fields: Readonly<Record<string, FieldTruth>>;
}

export interface FieldTruth {
  readonly raw: number;
  readonly value: number | string | boolean | null;
}

/** What was really sent, for whoever wants to know how much of it was heard. */
export interface Truth {
  readonly scenario: string;
  /** Ascending in time. */
  readonly telegrams: readonly TelegramTruth[];
  /** Sent in a layout that the decoder is not given. */
  readonly unreadable: readonly SentTruth[];
  /** Sent, but without one whole copy in the receiver's time and band. */
  readonly unheard: readonly {
    sensor: string;
    layout: string;
    atSeconds: number;
    carrierHz: number;
    because: string;
  }[];
  /** Sensors that never send. */
  readonly silent: readonly string[];
  readonly interferers: readonly Event[];
}

export function truthOf(scenario: Scenario, plan: Plan): Truth {
  const all = plan.sendings.map((sending) => ({ sending, hearings: hearingsOf(scenario, plan, sending) }));
  const heard = all.filter(({ hearings }) => hearings.some(({ reached }) => reached === "whole"));
  const isUnknown = ({ sending }: { sending: Sending }) => scenario.unknownIds.has(sending.layout.id);
  return {
    scenario: scenario.title,
    telegrams: heard
      .filter((one) => !isUnknown(one))
      .map(({ sending, hearings }) => ({ ...sentTruth(sending, hearings), ...contents(sending) })),
    unreadable: heard.filter(isUnknown).map(({ sending, hearings }) => sentTruth(sending, hearings)),
    unheard: all
      .filter((one) => !heard.includes(one))
      .map(({ sending, hearings }) => ({
        sensor: sending.sensor.name,
        layout: sending.layout.id,
        atSeconds: nanos(sending.copies[0]!.atSeconds),
        carrierHz: sending.copies[0]!.carrierHz,
        because: hearings.some(({ reached }) => reached === "cut") ? "cut" : "outside the band",
      })),
    silent: scenario.sensors.filter(({ sends }) => !sends?.length).map(({ name }) => name),
    interferers: (scenario.events ?? []).filter(({ kind }) => INTERFERERS.includes(kind)),
  };
}

const INTERFERERS: readonly string[] = ["steady-carrier", "pulsed-carrier", "impulses"];

function sentTruth({ sensor, layout, copies, broken }: Sending, hearings: readonly Hearing[]): SentTruth {
  const doubts = hearings.map((hearing) => (hearing.reached === "whole" ? hearing.doubts : undefined));
  const whole = copies.filter((_, i) => doubts[i] !== undefined);
  const cleanCopies = copies.filter((_, i) => doubts[i]?.length === 0).map(({ atSeconds }) => nanos(atSeconds));
  const mayBeMissed = cleanCopies.length === 0;
  const because = [...new Set(doubts.flatMap((list) => list ?? []))].join(", ");
  return {
    sensor: sensor.name,
    layout: layout.id,
    identity: identityText(
      layout.fields.find(({ type }) => type === "identity"),
      sensor.identity,
    ),
    atSeconds: nanos(whole[0]!.atSeconds),
    copies: whole.map(({ atSeconds }) => nanos(atSeconds)),
    cleanCopies,
    carrierHz: whole[0]!.carrierHz,
    ...(broken ? { broken } : {}),
    mayBeMissed,
    ...(mayBeMissed ? { because } : {}),
  };
}

function contents({ layout, bits, raw, sensor }: Sending): Pick<TelegramTruth, "bits" | "bitCount" | "fields"> {
  const fields = layout.fields.map((field) => {
    const value = Number(field.type === "constant" ? field.equals : raw[field.name]);
    return [field.name, { raw: value, value: fieldValue(field, value, sensor.identity) }] as const;
  });
  return { bits: hexOfBits(bits), bitCount: bits.length, fields: Object.fromEntries(fields) };
}

function fieldValue(field: Field, raw: number, identity: string): FieldTruth["value"] {
  switch (field.type) {
    case "identity":
      return identityText(field, identity);
    case "flag":
      return raw === 1;
    case "code":
      return field.values?.[String(raw)] ?? null;
    case "constant":
      return raw;
    case "unsigned":
    case "signed":
      return raw * (field.scale ?? 1) + (field.offset ?? 0);
    default:
      throw new RangeError(`unknown type ${String(field.type satisfies never)}`);
  }
}

function identityText(field: Field | undefined, identity: string): string {
  const digits = Math.ceil((field?.bits ?? 0) / 4);
  return BigInt(`0x${identity}`).toString(16).padStart(digits, "0");
}

/** Rounded to a nanosecond, so that the text does not carry the arithmetic's last bits. */
function nanos(seconds: number): number {
  return Math.floor(seconds * 1e9 + 0.5) / 1e9;
}
