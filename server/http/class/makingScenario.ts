import type { Complaint } from "../../../decoders/layouts/complaint.ts";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import { leadSymbols } from "../../../seeds/broken.ts";
import { rawRange } from "../../../seeds/encode/frame-bits.ts";
import { rawFromPhysical } from "../../../seeds/encode/raw-from-physical.ts";
import type { Broken, FieldValues, ScenarioFile } from "../../../seeds/scenario-shape.ts";
import type { BreaksBody, MakingNewBody } from "../wire/making.ts";

const SAMPLE_RATE_HZ = 500_000;
const START_SECONDS = 0.1;
const BEHIND_SECONDS = 0.1;
const EBN0_DB = 35;
const NOISE_DBFS = -60;

/** A recording with one telegram as somebody wrote it, broken as somebody liked. */
export function makingScenario(layout: Layout, { values, breaks = {}, seed = 1 }: MakingNewBody): ScenarioFile {
  const [carrierHz] = layout.carrierHz;
  if (carrierHz === undefined) throw new RangeError(`${layout.id} has no carrier`);
  const identity = layout.fields.find(({ type }) => type === "identity");
  const given = identity ? values[identity.name] : undefined;
  const { carrierShiftKhz = 0, clockPercent = 0, ebN0Db = EBN0_DB } = breaks;
  const broken = brokenOf(breaks);
  const longest = longestSeconds(layout) / (1 + clockPercent / 100);
  return {
    title: "A telegram that somebody wrote",
    seed,
    durationSeconds: START_SECONDS + longest + BEHIND_SECONDS,
    startsAt: "2026-03-02T08:15:00Z",
    receiver: {
      name: "class receiver",
      sampleRateHz: SAMPLE_RATE_HZ,
      sampleType: "cf32_le",
      noiseDbfs: NOISE_DBFS,
      tunings: [{ fromSeconds: 0, carrierHz }],
    },
    sensors: [
      {
        name: "yours",
        layout: layout.id,
        identity: typeof given === "string" ? given.toLowerCase() : "0",
        values: fieldValuesOf(layout, values),
        carrierHz,
        offsetHz: carrierShiftKhz * 1000,
        clockPpm: clockPercent * 10_000,
        level: { ebN0Db },
        sends: [{ atSeconds: START_SECONDS, copies: 1, ...(broken && { broken }) }],
      },
    ],
    outputs: ["recording"],
  };
}

function brokenOf(breaks: BreaksBody): Broken | undefined {
  const { flipBits = [], flipSymbols = [], cutSyncSymbols = 0, cutEndSymbols = 0 } = breaks;
  const broken: Broken = {
    ...(flipBits.length > 0 && { flipBits }),
    ...(flipSymbols.length > 0 && { flipSymbols }),
    ...(cutSyncSymbols > 0 && { cutSyncSymbols }),
    ...(cutEndSymbols > 0 && { cutEndSymbols }),
  };
  return Object.keys(broken).length > 0 ? broken : undefined;
}

function longestSeconds(layout: Layout): number {
  const aBit = layout.pulse ? Math.max(layout.pulse.zero.length, layout.pulse.one.length) : 2;
  return (leadSymbols(layout) + layout.bits * aBit) / layout.symbolRate;
}

/** Numbers are physical values; a field that nobody wrote is 0. */
function fieldValuesOf(layout: Layout, values: MakingNewBody["values"]): FieldValues {
  return Object.fromEntries(
    layout.fields.flatMap((field): [string, FieldValues[string]][] => {
      const given = values[field.name];
      if (field.type === "identity" || field.type === "constant") return [];
      if (given === undefined) return [[field.name, 0]];
      return [[field.name, typeof given === "number" ? { physical: given } : given]];
    }),
  );
}

const UNIT_WORDS = {
  kPa: "kPa",
  psi: "psi",
  bar: "bar",
  degC: "°C",
  degF: "°F",
  V: "V",
  "m/s2": "m/s²",
} as const;

/** What does not fit into a field, said in its own unit. */
export function valueComplaints(layout: Layout, values: MakingNewBody["values"]): Complaint[] {
  const writable = layout.fields.filter(({ type }) => type !== "constant");
  return Object.entries(values).flatMap(([name, value]): Complaint[] => {
    const path = `values.${name}`;
    const found = JSON.stringify(value);
    const field = writable.find((one) => one.name === name);
    if (!field) return [{ path, found, allowed: `values of ${writable.map((one) => one.name).join(", ")}` }];
    if (field.type === "identity") {
      const digits = Math.ceil(field.bits / 4);
      const isHex = typeof value === "string" && /^[0-9a-fA-F]{1,16}$/.test(value);
      return isHex ? [] : [{ path, found, allowed: `1 to ${digits} hex digits, 0-9 and a-f` }];
    }
    if (field.type !== "unsigned" && field.type !== "signed") return [];
    const { least, greatest } = rawRange(field);
    const raw = typeof value === "number" ? rawFromPhysical(field, value) : undefined;
    if (raw !== undefined && raw >= least && raw <= greatest) return [];
    const { scale = 1, offset = 0, unit } = field;
    const ends = [least, greatest].map((end) => Number((Number(end) * scale + offset).toPrecision(9)));
    const [from, to] = ends.sort((a, b) => a - b);
    return [
      {
        path,
        found,
        allowed: `${from} to ${to}${unit === undefined ? "" : ` ${UNIT_WORDS[unit]}`}, in steps of ${scale}`,
      },
    ];
  });
}

/** The key of the body that a complaint about the scenario comes from. */
export function pathInBody(path: string, layout: Layout): string {
  const identity = layout.fields.find(({ type }) => type === "identity")?.name ?? "identity";
  return path
    .replace(/^sensors\[0\]\.sends\[0\]\.broken/, "breaks")
    .replace(/^sensors\[0\]\.offsetHz/, "breaks.carrierShiftKhz")
    .replace(/^sensors\[0\]\.identity/, `values.${identity}`)
    .replace(/^sensors\[0\]\./, "");
}
