import type { Field, Layout } from "../../../decoders/layouts/schema.ts";
import { counted, figure, frequencyShown, inLine, signed } from "../quantities.ts";
import type { Frame } from "../recording/frames.ts";
import { verdictWords } from "../recording/frameWords.ts";
import { spoken } from "../recording/searchFields.ts";
import type { Settings } from "../settings.ts";
import { fieldRows } from "../telegramWords.ts";
import { leadSymbols } from "./places.ts";

/**
 * How one measure stands against that of the first. `alike`: within what it can be told to. `other`: not the same, and
 * nothing wrong with that. `look`: further apart than two good sensors are. `untold`: one of the two has none.
 */
export type Standing = "first" | "alike" | "other" | "look" | "untold";

export interface MeasureCell {
  readonly value: string;
  readonly standing: Standing;
  /** How far from the first, in words; empty where there is nothing to say. */
  readonly says: string;
}

export interface MeasureRow {
  readonly name: string;
  readonly cells: readonly MeasureCell[];
  /** From where on a difference is told, and why there. */
  readonly basis: string;
}

/** One of those that are measured side by side. */
export interface Measured {
  readonly frame: Frame;
  /** Of its telegram, or of its nearest try; `undefined` where the shelf has none. */
  readonly layout: Layout | undefined;
  /** All frames of its recording, for the copies. */
  readonly frames: readonly Frame[];
}

type Units = Pick<Settings, "pressure" | "temperature">;

/** What was measured of each, side by side, with how each of them stands against the first. */
export function measureRows(all: readonly Measured[], units: Units): MeasureRow[] {
  const carrierNominal = all.map(({ frame, layout }) => nominalCarrier(frame.burst.carrierHz, layout));
  const offsets = all.map(({ frame }, i) => less(frame.burst.carrierHz, carrierNominal[i]));
  const rates = all.map(({ frame, layout }) =>
    frame.burst.symbolRate === null || !layout ? undefined : 100 * (frame.burst.symbolRate / layout.symbolRate - 1),
  );
  const lengths = all.map(({ frame }) => frame.burst.durationSeconds * 1000);
  return [
    number(
      all.map(({ frame }) => frame.burst.carrierHz / 1e6),
      {
        name: "Carrier",
        show: (mhz) => inLine(frequencyShown(mhz * 1e6, 4)),
        difference: (mhz) => (Math.abs(mhz) > 0.1 ? `${signed(mhz, 3)}\u202fMHz` : `${signed(mhz * 1000, 1)}\u202fkHz`),
        alikeWithin: CARRIER_ALIKE_HZ / 1e6,
        lookBeyond: BAND_HZ / 1e6,
        lookSays: "another band",
        basis: `Told to ${CARRIER_ALIKE_HZ / 1000}\u202fkHz; further than ${BAND_HZ / 1e6}\u202fMHz apart is another band.`,
      },
    ),
    number(offsets, {
      name: "Carrier off its nominal",
      show: (hz, i) => `${signed(hz / 1000, 1)}\u202fkHz, ${signed((hz / (carrierNominal[i] ?? 1)) * 1e6, 0)}\u202fppm`,
      difference: (hz) => `${signed(hz / 1000, 1)}\u202fkHz`,
      alikeWithin: CARRIER_ALIKE_HZ,
      lookAt: (hz, i) => Math.abs(hz) / (carrierNominal[i] ?? 1) > MOST_OFF,
      lookSays: `over ${MOST_OFF * 1e6}\u202fppm off`,
      basis: `Against the layout's carrier. ±\u202f${MOST_OFF * 1e6}\u202fppm is what EN 300 220 allows a wideband sender; indicative, since the receiver's own error is in it.`,
    }),
    text(
      all.map(({ frame }) => frame.burst.modulation?.toUpperCase()),
      "Keying",
      "The same or not.",
      "other",
    ),
    number(
      all.map(({ frame }) => frame.burst.deviationHz ?? undefined),
      {
        name: "Deviation",
        show: (hz) => `±\u202f${figure(hz / 1000, 1)}\u202fkHz`,
        difference: (hz) => `${signed(hz / 1000, 1)}\u202fkHz`,
        alikeWithin: DEVIATION_ALIKE_HZ,
        basis: `FSK only; told to ${DEVIATION_ALIKE_HZ / 1000}\u202fkHz. No limit is known.`,
      },
    ),
    number(
      all.map(({ frame }) => frame.burst.symbolRate ?? undefined),
      {
        name: "Symbol rate",
        show: (rate, i) => `${grouped(rate)}\u202f± ${grouped(all[i]?.frame.burst.symbolRateUncertainty ?? 0)}\u202f/s`,
        difference: (rate) => `${rate > 0 ? "+" : "−"}${grouped(Math.abs(rate))}\u202f/s`,
        alikeWithin: (i) => 3 * Math.hypot(sigmaOf(all[0]), sigmaOf(all[i])),
        basis: "Alike within three standard deviations of the two measures together.",
      },
    ),
    number(rates, {
      name: "Symbol rate off its nominal",
      show: (percent) => `${signed(percent, 2)}\u202f%`,
      difference: (percent) => `${signed(percent, 2)}\u202f%`,
      alikeWithin: (i) => 3 * Math.hypot(percentSigma(all[0]), percentSigma(all[i])),
      lookAt: (percent) => Math.abs(percent) > RATE_OFF_PERCENT,
      lookSays: `over ${RATE_OFF_PERCENT}\u202f% off`,
      basis: `Against the layout's rate. A frame whose rate is more than ${RATE_OFF_PERCENT}\u202f% off is not read.`,
    }),
    number(
      all.map(({ frame }) => frame.burst.levelDbfs ?? undefined),
      {
        name: "Level",
        show: (db) => `${figure(db, 1)}\u202fdBFS`,
        difference: (db) => `${signed(db, 1)}\u202fdB`,
        alikeWithin: LEVEL_ALIKE_DB,
        basis: `Alike within ${LEVEL_ALIKE_DB}\u202fdB. Never judged: half the distance alone makes 6\u202fdB, and another receiver more.`,
      },
    ),
    number(
      all.map(({ frame }) => frame.burst.snrDb ?? undefined),
      {
        name: "Above the noise",
        show: (db) => `${figure(db, 1)}\u202fdB`,
        difference: (db) => `${signed(db, 1)}\u202fdB`,
        alikeWithin: LEVEL_ALIKE_DB,
        lookAt: (db) => db < NEEDED_SNR_DB,
        lookSays: `under ${NEEDED_SNR_DB}\u202fdB`,
        basis: `Alike within ${LEVEL_ALIKE_DB}\u202fdB; the ladder asks for ${NEEDED_SNR_DB}\u202fdB.`,
      },
    ),
    number(lengths, {
      name: "Length of the burst",
      show: (ms) => `${figure(ms, 2)}\u202fms`,
      difference: (ms) => `${signed(ms, 2)}\u202fms`,
      alikeWithin: LENGTH_ALIKE_MS,
      lookAt: (ms, i) => {
        const should = nominalMs(all[i]?.layout);
        return should !== undefined && ms < should - LENGTH_ALIKE_MS;
      },
      lookSays: "shorter than its layout's frame",
      basis: `Both ends together are told to ${LENGTH_ALIKE_MS}\u202fms; shorter than the layout's frame by more than that asks for a look.`,
    }),
    text(
      all.map((one) => copyCount(one)),
      "Copies of the telegram",
      "The same number or not.",
      "other",
    ),
    number(
      all.map((one) => intervalMs(one)),
      {
        name: "From copy to copy",
        show: (ms) => `${figure(ms, 1)}\u202fms`,
        difference: (ms) => `${signed(ms, 1)}\u202fms`,
        alikeWithin: 2 * LENGTH_ALIKE_MS,
        basis: `From one beginning to the next, the middle one of all; told to ${2 * LENGTH_ALIKE_MS}\u202fms.`,
      },
    ),
    text(
      all.map(({ frame }) => verdictWords(frame)),
      "What became of it",
      "The same or not; what was not verified asks for a look.",
      (i) => (all[i]?.frame.look === "solid" ? "other" : "look"),
    ),
    text(
      all.map(({ frame, layout }) => frame.telegram?.telegram.layout ?? layout?.id),
      "Layout",
      "The same or not.",
      "other",
    ),
    ...fieldMeasures(all, units),
  ];
}

/** The rows that ask for a look, in a sentence. */
export function measuresHeading(rows: readonly MeasureRow[], letters: readonly string[]): string {
  const looks = letters.flatMap((letter, i) => {
    const names = rows.filter(({ cells }) => cells[i]?.standing === "look").map(({ name }) => name.toLowerCase());
    return names.length === 0 ? [] : [`${letter}: ${names.join(", ")}`];
  });
  return looks.length === 0
    ? "Side by side, no measure asks for a look"
    : `Side by side, these ask for a look – ${looks.join("; ")}`;
}

// Each is some times the worst error counted on the bursts of our samples that nothing else overlaps: carrier 0.14 kHz,
// deviation 0.22 kHz, length −0.1 to 0.35 ms, level from copy to copy 0.1 dB.
const CARRIER_ALIKE_HZ = 500;
const DEVIATION_ALIKE_HZ = 500;
const LENGTH_ALIKE_MS = 0.5;
const LEVEL_ALIKE_DB = 1;
const BAND_HZ = 1e6;
/** @source EN 300 220, frequency error of wideband senders, as quoted in Microchip AN2263; not read in the standard. */
const MOST_OFF = 100e-6;
/** The decoder tries no further. */
const RATE_OFF_PERCENT = 3;
/** The second rung of the ladder. */
const NEEDED_SNR_DB = 6;

interface NumberMeasure {
  readonly name: string;
  readonly show: (value: number, i: number) => string;
  readonly difference: (value: number) => string;
  readonly alikeWithin: number | ((i: number) => number);
  /** Further from the first than this asks for a look. */
  readonly lookBeyond?: number;
  /** A value that asks for a look by itself. */
  readonly lookAt?: (value: number, i: number) => boolean;
  readonly lookSays?: string;
  readonly basis: string;
}

function number(values: readonly (number | undefined)[], measure: NumberMeasure): MeasureRow {
  const first = values[0];
  const cells = values.map((value, i): MeasureCell => {
    if (value === undefined) return { value: "not told", standing: i === 0 ? "first" : "untold", says: "" };
    const shown = measure.show(value, i);
    const isOdd = measure.lookAt?.(value, i) ?? false;
    const odd = isOdd ? (measure.lookSays ?? "look here") : "";
    if (i === 0) return { value: shown, standing: isOdd ? "look" : "first", says: odd };
    if (first === undefined) return { value: shown, standing: isOdd ? "look" : "untold", says: odd };
    const by = value - first;
    const within = typeof measure.alikeWithin === "number" ? measure.alikeWithin : measure.alikeWithin(i);
    const alike = Math.abs(by) <= within;
    const far = measure.lookBeyond !== undefined && Math.abs(by) > measure.lookBeyond;
    const farSays = far ? (measure.lookSays ?? "") : "";
    const says = [alike ? "" : measure.difference(by), odd || farSays].filter((part) => part !== "").join(", ");
    return { value: shown, standing: isOdd || far ? "look" : alike ? "alike" : "other", says };
  });
  return { name: measure.name, cells, basis: measure.basis };
}

function text(
  values: readonly (string | undefined)[],
  name: string,
  basis: string,
  standing: "other" | ((i: number) => "other" | "look"),
): MeasureRow {
  const first = values[0];
  const cells = values.map((value, i): MeasureCell => {
    const own = standing === "other" ? "other" : standing(i);
    if (value === undefined) return { value: "not told", standing: i === 0 ? "first" : "untold", says: "" };
    if (i === 0) return { value, standing: own === "look" ? "look" : "first", says: "" };
    if (first === undefined) return { value, standing: own === "look" ? "look" : "untold", says: "" };
    if (own === "look") return { value, standing: "look", says: "" };
    return { value, standing: value === first ? "alike" : "other", says: "" };
  });
  return { name, cells, basis };
}

/** One row for each field that any of them has, in the order of the layouts. */
function fieldMeasures(all: readonly Measured[], units: Units): MeasureRow[] {
  const told = all.map(({ frame, layout }) => ({
    fields: frame.telegram?.telegram.fields ?? {},
    layout,
    rows: new Map(fieldRows(frame.telegram?.telegram ?? { fields: {} }, layout, units).map((row) => [row.name, row])),
  }));
  const names = [...new Set(told.flatMap(({ rows }) => [...rows.keys()]))];
  return names.map((name): MeasureRow => {
    const field = told.map(({ layout }) => layout?.fields.find((one) => one.name === name)).find((one) => one);
    const cells = told.map(({ rows, fields }, i): MeasureCell => {
      const row = rows.get(name);
      if (!row) return { value: "not told", standing: i === 0 ? "first" : "untold", says: "" };
      const odd = row.plausible ? lowSays(field, fields[name]?.value) : "outside of what makes sense";
      if (odd !== "") return { value: row.value, standing: "look", says: odd };
      if (i === 0) return { value: row.value, standing: "first", says: "" };
      const other = told[0]?.rows.get(name);
      if (!other) return { value: row.value, standing: "untold", says: "" };
      return { value: row.value, standing: row.value === other.value ? "alike" : "other", says: "" };
    });
    return { name: spoken(name), cells, basis: fieldBasis(field) };
  });
}

function lowSays(field: Field | undefined, value: unknown): string {
  return field?.means === "battery-low" && value === true ? "battery low" : "";
}

function fieldBasis(field: Field | undefined): string {
  if (field?.means === "counter") return "Counts up with every telegram.";
  if (field?.type === "identity") return "Each sensor has its own.";
  if (field?.plausible) {
    const [from, to] = field.plausible.map((end) => String(end).replace("-", "−"));
    return `Makes sense from ${from} to ${to}${field.unit === undefined ? "" : ` ${field.unit.replace("deg", "°")}`}.`;
  }
  return "The same or not.";
}

function nominalCarrier(carrierHz: number, layout: Layout | undefined): number | undefined {
  const away = (hz: number) => Math.abs(hz - carrierHz);
  return layout?.carrierHz.toSorted((a, b) => away(a) - away(b))[0];
}

/** A frame's length as its layout has it; `undefined` where its bits differ in length. */
function nominalMs(layout: Layout | undefined): number | undefined {
  if (!layout || layout.lineCode === "pulse") return undefined;
  const perBit = layout.lineCode === "nrz" || layout.lineCode === "nrzi" ? 1 : 2;
  return (1000 * (leadSymbols(layout) + perBit * layout.bits)) / layout.symbolRate;
}

function copyCount({ frame }: Measured): string | undefined {
  return frame.telegram === undefined ? undefined : counted(frame.telegram.telegram.repeats.length, "burst");
}

function intervalMs({ frame, frames }: Measured): number | undefined {
  const of = frame.telegram;
  if (!of) return undefined;
  const starts = frames.filter(({ telegram }) => telegram?.id === of.id).map(({ fromSeconds }) => fromSeconds);
  const steps = starts
    .slice(1)
    .map((at, i) => 1000 * (at - (starts[i] ?? at)))
    .toSorted((a, b) => a - b);
  return steps[Math.floor((steps.length - 1) / 2)];
}

function sigmaOf(one: Measured | undefined): number {
  return one?.frame.burst.symbolRateUncertainty ?? 0;
}

function percentSigma(one: Measured | undefined): number {
  return one?.layout ? (100 * sigmaOf(one)) / one.layout.symbolRate : 0;
}

function less(value: number, from: number | undefined): number | undefined {
  return from === undefined ? undefined : value - from;
}

function grouped(value: number): string {
  return value.toLocaleString("en-GB", { maximumFractionDigits: value < 100 ? 1 : 0 });
}
