import type { BurstRecord, TelegramRecord } from "../../decoders/records.ts";
import type { CsvCell } from "./csv.ts";

/** A burst, and the telegrams that it is a copy of. */
export interface TableFrame {
  /** Of its first sample, RFC 3339; `null` where nobody said when the recording was made. */
  readonly at: string | null;
  readonly burst: BurstRecord;
  readonly telegrams: readonly { readonly identity: string | null; readonly telegram: TelegramRecord }[];
}

export interface FrameColumn {
  readonly name: string;
  readonly type: "string" | "number" | "integer" | "boolean" | "datetime";
  readonly unit?: string;
  readonly says: string;
}

export interface FrameTable {
  readonly columns: readonly FrameColumn[];
  readonly rows: readonly (readonly CsvCell[])[];
}

/** Frames as a table: a row for each burst, and for a burst of several telegrams one for each of them. */
export function frameTable(frames: readonly TableFrame[]): FrameTable {
  const rows = frames.flatMap(({ at, burst, telegrams }): Row[] => {
    const held = telegrams.length === 0 ? [undefined] : telegrams;
    return held.map((one) => ({ at, burst, identity: one?.identity ?? null, telegram: one?.telegram }));
  });
  const columns = [...COLUMNS, ...fieldColumns(rows)];
  return {
    columns: columns.map(({ cell: _, ...column }) => column),
    rows: rows.map((row) => columns.map(({ cell }) => cell(row))),
  };
}

interface Row {
  readonly at: string | null;
  readonly burst: BurstRecord;
  readonly identity: string | null;
  readonly telegram: TelegramRecord | undefined;
}

interface Cells extends FrameColumn {
  readonly cell: (row: Row) => CsvCell;
}

const COLUMNS: readonly Cells[] = [
  {
    name: "index",
    type: "integer",
    says: "The burst, counted from 0 in order of time",
    cell: ({ burst }) => burst.index,
  },
  {
    name: "atSeconds",
    type: "number",
    unit: "s",
    says: "Its beginning, from the first sample of the recording",
    cell: ({ burst }) => burst.atSeconds,
  },
  { name: "at", type: "datetime", says: "Its beginning as a time of day, in UTC", cell: ({ at }) => at },
  {
    name: "durationSeconds",
    type: "number",
    unit: "s",
    says: "How long it lasts",
    cell: ({ burst }) => burst.durationSeconds,
  },
  {
    name: "carrierHz",
    type: "number",
    unit: "Hz",
    says: "Its carrier as measured",
    cell: ({ burst }) => burst.carrierHz,
  },
  { name: "modulation", type: "string", says: "How it is keyed: ask or fsk", cell: ({ burst }) => burst.modulation },
  {
    name: "deviationHz",
    type: "number",
    unit: "Hz",
    says: "Of FSK half the distance of the two frequencies",
    cell: ({ burst }) => burst.deviationHz,
  },
  {
    name: "symbolRate",
    type: "number",
    unit: "1/s",
    says: "Symbols a second as measured",
    cell: ({ burst }) => burst.symbolRate,
  },
  {
    name: "snrDb",
    type: "number",
    unit: "dB",
    says: "Its level over the noise in its own band",
    cell: ({ burst }) => burst.snrDb,
  },
  {
    name: "levelDbfs",
    type: "number",
    unit: "dBFS",
    says: "Its level, 0 is full scale",
    cell: ({ burst }) => burst.levelDbfs,
  },
  {
    name: "clipped",
    type: "boolean",
    says: "Whether the receiver was at its limit",
    cell: ({ burst }) => burst.clipped,
  },
  {
    name: "outcome",
    type: "string",
    says: "telegram, repeat, or the first rung of the ladder that was missed",
    cell: ({ burst }) => burst.outcome,
  },
  {
    name: "because",
    type: "string",
    says: "Why that rung was missed",
    cell: ({ burst }) => burst.rungs.find(({ passed }) => passed === false)?.because ?? null,
  },
  {
    name: "layout",
    type: "string",
    says: "The layout it was read by",
    cell: ({ telegram }) => telegram?.layout ?? null,
  },
  { name: "sensorId", type: "string", says: "Who sent it, in hex", cell: ({ identity }) => identity },
  {
    name: "copy",
    type: "integer",
    says: "Which copy of its telegram it is, from 1",
    cell: ({ burst, telegram }) => (telegram ? telegram.repeats.indexOf(burst.index) + 1 : null),
  },
  {
    name: "copies",
    type: "integer",
    says: "How many copies of its telegram were heard",
    cell: ({ telegram }) => telegram?.repeats.length ?? null,
  },
  {
    name: "verified",
    type: "boolean",
    says: "Whether its checks agree and prove enough",
    cell: ({ telegram }) => telegram?.verified ?? null,
  },
  {
    name: "repairedBits",
    type: "integer",
    unit: "bit",
    says: "Bits that were turned to make its check agree",
    cell: ({ telegram }) => telegram?.repairedBits ?? null,
  },
  {
    name: "falseAcceptProbability",
    type: "number",
    unit: "1",
    says: "How likely noise alone gives such a telegram",
    cell: ({ telegram }) => telegram?.falseAcceptProbability ?? null,
  },
  {
    name: "bits",
    type: "string",
    says: "Its bits in hex, the first on air highest, filled up with zero bits",
    cell: ({ telegram }) => telegram?.bits ?? null,
  },
  {
    name: "bitCount",
    type: "integer",
    unit: "bit",
    says: "How many bits it has",
    cell: ({ telegram }) => telegram?.bitCount ?? null,
  },
];

/** A column for every field that a telegram has, by name and unit; further ones for what makes no sense. */
function fieldColumns(rows: readonly Row[]): Cells[] {
  const columns = new Map<string, Cells>();
  for (const { telegram } of rows) {
    for (const [field, { value, unit, kPaGauge }] of Object.entries(telegram?.fields ?? {})) {
      const name = unit === null ? `field_${field}` : `field_${field}_${unit.replace(/\W/g, "_")}`;
      const type = typeof value === "number" ? "number" : typeof value === "boolean" ? "boolean" : "string";
      const known = columns.get(name);
      columns.set(name, {
        name,
        type: known !== undefined && known.type !== type ? "string" : type,
        ...(unit === null ? {} : { unit }),
        says: `The field ${field}`,
        cell: (row) => {
          const held = fieldOf(row, field);
          return held !== undefined && held.unit === unit ? held.value : null;
        },
      });
      if (kPaGauge === undefined) continue;
      const gauge = `field_${field}_kPaGauge`;
      columns.set(gauge, {
        name: gauge,
        type: "number",
        unit: "kPa",
        says: `The field ${field} over the air around it`,
        cell: (row) => fieldOf(row, field)?.kPaGauge ?? null,
      });
    }
  }
  if (columns.size === 0) return [];
  return [
    ...columns.values(),
    {
      name: "notPlausible",
      type: "string",
      says: "The fields whose values make no sense",
      cell: ({ telegram }) => {
        const odd = Object.entries(telegram?.fields ?? {}).filter(([, { plausible }]) => !plausible);
        return odd.length === 0 ? null : odd.map(([field]) => field).join(" ");
      },
    },
  ];
}

function fieldOf({ telegram }: Row, field: string) {
  return telegram !== undefined && Object.hasOwn(telegram.fields, field) ? telegram.fields[field] : undefined;
}
