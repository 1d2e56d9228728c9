import type { Check, Field, Layout } from "../layouts/schema.ts";
import { median } from "./caught.ts";
import type { Derivation, Derived } from "./derive.ts";
import type { FieldFinding } from "./fields.ts";
import { symbolsOfFirst } from "./frames.ts";

/** How a person names what was found. */
export interface Naming {
  readonly id: string;
  readonly title: string;
  readonly notes: string;
}

const NOMINAL_HZ = [315e6, 433.92e6, 868.3e6, 868.95e6, 915e6, 314.9e6, 433.42e6, 434.42e6];
/** A sensor may be this far off. */
const NEAR_HZ = 40_000;
const MOST_SYNC = 512;
/** More of the preamble is not asked of a sensor. */
const MOST_PREAMBLE = 64;

/**
 * The layout that a derivation comes to, as a layout file has it. Bits that nothing explains stay unassigned.
 */
export function layoutOf({ group, derivation }: Derived, naming: Naming): Layout {
  const { table, whitened } = derivation;
  const own = fieldsOf(derivation);
  const skipped = skippedBits(derivation);
  const { lineCode, pulse } = table.reading;
  const start = table.start + symbolsOfFirst(table, skipped - (whitened?.ahead ?? 0));
  const head = Array.from(table.head.subarray(0, Math.max(0, start)));
  const { preamble, sync } = beginning(head, table.preamble);
  const rates = group.aligned.members.map(({ caught }) => caught.symbolRate);
  const fields = own.map((field) => ({ ...field, at: field.at - skipped }));
  return {
    id: naming.id,
    title: naming.title,
    ...(naming.notes === "" ? {} : { notes: naming.notes }),
    origin: { published: "worked out from recordings" },
    carrierHz: [nominal(group.carrierHz)],
    modulation: group.modulation,
    ...(group.modulation === "fsk"
      ? { deviationHz: Math.max(100, 100 * Math.round((group.deviationHz ?? 0) / 100)) }
      : {}),
    symbolRate: rounded(median(rates)),
    lineCode,
    ...(pulse ? { pulse: { zero: pulse.zero, one: pulse.one } } : {}),
    preamble,
    sync,
    bits: derivation.bitCount - skipped,
    ...(whitened ? { whitening: whitened.whitening } : {}),
    ...repeatsOf(derivation),
    fields,
    checks: derivation.checks
      .filter((one) => !("swapped" in one && one.swapped))
      .map(({ check }) => moved(check, -skipped)),
  };
}

/** Constant bits at the beginning that nothing needs; with whitening the frame has to begin where the sequence does. */
export function skippedBits(derivation: Derivation): number {
  if (derivation.whitened) return 0;
  const starts = derivation.checks.flatMap(({ check }) => [check.at, ...check.covers.map(([first]) => first)]);
  return Math.min(derivation.table.constantLengths.length, ...fieldsOf(derivation).map(({ at }) => at), ...starts);
}

function beginning(head: readonly number[], found: Derivation["table"]["preamble"]): Pick<Layout, "preamble" | "sync"> {
  const period = found.symbols.length;
  const end = Math.min(found.end, head.length);
  // What a sync has too little of it takes from the preamble.
  const from = period === 0 ? Math.max(0, head.length - 16) : Math.max(0, Math.min(end, head.length - 12));
  const sync = head.slice(Math.max(from, head.length - MOST_SYNC)).join("");
  const repeat = period === 0 ? 0 : Math.floor(Math.min(from, MOST_PREAMBLE) / period);
  const unit = period === 0 ? "10" : head.slice(from - period, from).join("");
  return {
    preamble: {
      symbols: unit.length === period && period > 0 ? unit : "10",
      repeat: unit.length === period ? repeat : 0,
    },
    sync: { symbols: sync === "" ? "1" : sync },
  };
}

/** Round, as nominal frequencies are. */
function nominal(hz: number): number {
  const known = NOMINAL_HZ.find((one) => Math.abs(one - hz) <= NEAR_HZ);
  return known ?? 10_000 * Math.round(hz / 10_000);
}

/** To four digits; to three where that is as near as clocks are. */
function rounded(rate: number): number {
  for (const digits of [2, 3, 4]) {
    const value = Number(rate.toPrecision(digits));
    if (Math.abs(value / rate - 1) < 5e-4) return value;
  }
  return Number(rate.toPrecision(5));
}

function repeatsOf({ table }: Derivation): Pick<Layout, "repeats"> {
  const counts = table.telegrams.map(({ ids }) => ids.length);
  const count = median(counts);
  if (count < 2 || table.copyGapSeconds === undefined) return {};
  return { repeats: { count: Math.min(256, count), gapSeconds: Number(table.copyGapSeconds.toFixed(4)) } };
}

function moved(check: Check, ahead: number): Check {
  const covers = check.covers.map(([first, count]): [number, number] => [first + ahead, count]);
  return { ...check, covers, at: check.at + ahead };
}

function fieldsOf({ senders, fields, named }: Derivation): Field[] {
  const isNamed = (at: number) => named.some((field) => field.at === at);
  const found = [...named, ...fields.fields.filter(({ at }) => !isNamed(at)).map(fieldOf)];
  if (senders && !isNamed(senders.at)) {
    found.push({ name: "sensor", at: senders.at, bits: senders.bits, type: "identity" });
  }
  return found.sort((a, b) => a.at - b.at);
}

function fieldOf({ quantity, at, bits, bitOrder, signed, constants }: FieldFinding): Field {
  const [chosen] = constants;
  if (!chosen) throw new RangeError("a field without constants");
  return {
    name: quantity,
    at,
    bits,
    type: signed ? "signed" : "unsigned",
    ...(bitOrder === "lsb-first" ? { bitOrder } : {}),
    quantity,
    unit: chosen.unit,
    scale: chosen.scale,
    offset: chosen.offset,
    ...(chosen.reference === undefined ? {} : { reference: chosen.reference }),
  };
}
