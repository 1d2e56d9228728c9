import { analyse } from "../../decoders/analyse.ts";
import type { Field, Layout } from "../../decoders/layouts/schema.ts";
import type { BurstRecord, TelegramRecord } from "../../decoders/records.ts";
import type { BurstLine } from "../../decoders/sources.ts";
import { type Caught, caughtOf } from "../../decoders/workshop/caught.ts";
import { type Listened, listenAgain } from "../../decoders/workshop/cutAgain.ts";
import type { GaugeReading } from "../../decoders/workshop/gaugeLog.ts";
import { frameBits } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { pressureInUnit, rawFromPhysical, temperatureInUnit } from "../../seeds/encode/raw-from-physical.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import type { Dice } from "./randomLayout.ts";

const AMBIENT_KPA = 101.325;
const SAMPLE_RATE_HZ = 250_000;

/** Sensors that speak one layout, in a pot whose pressure and temperature are written down. */
export interface Bay {
  readonly layout: Layout;
  readonly identities: readonly bigint[];
  /** What the pot, or at a car the wheel, has at a moment. */
  readonly kPaAt: (seconds: number, sensor: number) => number;
  readonly degCAt: (seconds: number, sensor: number) => number;
  readonly counts: Map<string, number>;
}

export interface Sent {
  readonly sensor: number;
  readonly atSeconds: number;
  readonly kPa: number;
  readonly degC: number;
  readonly bits: Uint8Array;
}

export function openBay(layout: Layout, sensors: number, dice: Dice, conditions: Pick<Bay, "kPaAt" | "degCAt">): Bay {
  const bits = layout.fields.find(({ type }) => type === "identity")?.bits ?? 0;
  const identities = Array.from({ length: sensors }, () => BigInt(Math.floor(dice.between(0, 2 ** bits))));
  return { layout, identities, ...conditions, counts: new Map() };
}

/** One telegram, as a sensor sends it at that moment. */
export function send(bay: Bay, sensor: number, atSeconds: number, dice: Dice): Sent {
  const { layout, identities, counts } = bay;
  const kPa = bay.kPaAt(atSeconds, sensor);
  const degC = bay.degCAt(atSeconds, sensor);
  const raw = Object.fromEntries(
    layout.fields.map((field): [string, number | bigint] => {
      if (field.type === "identity") return [field.name, identities[sensor]!];
      return [field.name, rawOf(field, kPa, degC, `${sensor} ${field.name}`, counts, dice)];
    }),
  );
  return { sensor, atSeconds, kPa, degC, bits: frameBits(layout, raw) };
}

function rawOf(
  field: Field,
  kPa: number,
  degC: number,
  key: string,
  counts: Map<string, number>,
  dice: Dice,
): number | bigint {
  const top = 2 ** field.bits;
  if (field.quantity === "pressure") {
    return Math.min(top - 1, Math.max(0, rawFromPhysical(field, pressureInUnit(field, kPa, AMBIENT_KPA))));
  }
  if (field.quantity === "temperature") return rawFromPhysical(field, temperatureInUnit(field, degC));
  if (field.type === "constant") return field.equals ?? 0;
  const before = counts.get(key) ?? dice.whole(0, top - 1);
  const next = field.quantity === "count" ? (before + 1) % top : dice.happens(0.1) ? dice.whole(0, top - 1) : before;
  counts.set(key, next);
  return next;
}

/** The bursts of a telegram in noise, heard and cut into symbols as any recording is, and their samples. */
export async function caught(
  bay: Bay,
  sent: Sent,
  { ebN0Db, copies, seed }: { readonly ebN0Db: number; readonly copies: number; readonly seed: number },
): Promise<{ readonly caught: readonly Caught[]; readonly listened: readonly Listened[] }> {
  const { layout } = bay;
  const raw = rawByField(layout, sent.bits);
  const { iq } = telegramSamples(layout, raw, {
    sampleRateHz: SAMPLE_RATE_HZ,
    offsetHz: ((sent.sensor * 7919) % 17) * 1000 - 8000,
    clockPpm: ((sent.sensor * 104_729) % 400) - 200,
    ebN0Db,
    copies,
    seed,
    leadSeconds: 0.012,
    tailSeconds: 0.012,
  });
  const carrierHz = layout.carrierHz[0]!;
  const source = {
    kind: "samples",
    file: "drawn",
    sampleType: "cf32_le",
    sampleRateHz: SAMPLE_RATE_HZ,
    captures: [{ sampleStart: 0, carrierHz }],
    blocks: [new Uint8Array(iq.buffer)],
  } as const;
  const found: Caught[] = [];
  const records: BurstRecord[] = [];
  const idOf = ({ index }: BurstRecord) => `${sent.sensor}-${sent.atSeconds.toFixed(3)}#${index}`;
  for await (const record of analyse(source, [])) {
    if (record.kind !== "burst") continue;
    records.push(record);
    const one = caughtOf(record, idOf(record), sent.atSeconds);
    if (one) found.push(one);
  }
  return { caught: found, listened: await listenAgain(source, records, sent.atSeconds, idOf) };
}

/** The fields' integers again, out of a frame. */
function rawByField(layout: Layout, bits: Uint8Array): Record<string, bigint> {
  return Object.fromEntries(
    layout.fields.map((field) => {
      const own = Array.from(bits.subarray(field.at, field.at + field.bits));
      if (field.bitOrder === "lsb-first") own.reverse();
      const value = own.reduce((sum, bit) => (sum << 1n) | BigInt(bit), 0n);
      return [field.name, field.type === "signed" ? BigInt.asIntN(field.bits, value) : value];
    }),
  );
}

export interface Judged {
  readonly verified: number;
  readonly identity: boolean;
  readonly pressure: boolean;
  readonly temperature: boolean;
}

/** Whether a layout reads fresh telegrams of another one right: who sent, and both figures within one step. */
export async function judge(bay: Bay, derived: Layout, fresh: readonly Sent[]): Promise<Judged> {
  const lines = fresh.map(
    (sent, i): BurstLine => ({
      type: "burst",
      sequence: i + 1,
      atSeconds: 10 * i,
      carrierHz: bay.layout.carrierHz[0]!,
      offsetHz: 0,
      modulation: bay.layout.modulation,
      symbolRate: bay.layout.symbolRate,
      ...surely(frameSymbols(bay.layout, sent.bits)),
      rssiDbm: undefined,
      noiseDbm: undefined,
    }),
  );
  const telegrams = new Map<number, TelegramRecord>();
  for await (const record of analyse({ kind: "lines", file: "fresh", lines }, [derived])) {
    if (record.kind === "telegram") for (const burst of record.repeats) telegrams.set(burst, record);
  }
  const names = new Map<number, unknown>();
  const stepOf = (quantity: Field["quantity"]) =>
    bay.layout.fields.find((field) => field.quantity === quantity)?.scale ?? 1;
  let identity = telegrams.size === fresh.length;
  let pressure = identity;
  let temperature = identity;
  let verified = 0;
  for (const [i, sent] of fresh.entries()) {
    const fields = telegrams.get(i)?.fields;
    if (telegrams.get(i)?.verified) verified++;
    const name = fields?.["sensor"]?.value;
    if (name === undefined || (names.get(sent.sensor) ?? name) !== name) identity = false;
    names.set(sent.sensor, name);
    const kPa = fields?.["pressure"]?.kPaGauge;
    if (kPa === undefined || Math.abs(kPa - sent.kPa) > 1.05 * stepOf("pressure")) pressure = false;
    const degC = fields?.["temperature"]?.value;
    if (typeof degC !== "number" || Math.abs(degC - sent.degC) > 1.05 * stepOf("temperature")) temperature = false;
  }
  if (new Set(names.values()).size !== names.size) identity = false;
  return { verified, identity, pressure, temperature };
}

/** As a receiver near by tells them. */
function surely(symbols: Uint8Array): Pick<BurstLine, "symbols" | "confidence"> {
  return { symbols, confidence: new Uint8Array(symbols.length).fill(160) };
}

/** A log of the pot, a line every few seconds, with a gauge's noise and a clock of its own. */
export function gaugeLog(bay: Bay, seconds: number, dice: Dice, aheadSeconds: number): GaugeReading[] {
  const readings: GaugeReading[] = [];
  for (let at = 0; at <= seconds; at += 5) {
    const noise = () => dice.between(-0.3, 0.3) + dice.between(-0.3, 0.3);
    const kPa = Number((bay.kPaAt(at, 0) + noise()).toFixed(1));
    const degC = Number((bay.degCAt(at, 0) + noise() / 3).toFixed(1));
    readings.push({ atSeconds: at + aheadSeconds, kPa, degC });
  }
  return readings;
}
