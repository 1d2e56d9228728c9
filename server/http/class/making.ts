import { builtinLayouts } from "../../../decoders/layouts/builtin.ts";
import type { Complaint } from "../../../decoders/layouts/complaint.ts";
import type { Check, Field, Layout } from "../../../decoders/layouts/schema.ts";
import type { BurstRecord, SummaryRecord, TelegramRecord } from "../../../decoders/records.ts";
import { leadSymbols } from "../../../seeds/broken.ts";
import { checkPlace } from "../../../seeds/encode/check-value.ts";
import { frameBits } from "../../../seeds/encode/frame-bits.ts";
import { hexOfBits } from "../../../seeds/hex-of-bits.ts";
import { planOf } from "../../../seeds/plan.ts";
import { parseScenario, type Scenario } from "../../../seeds/scenario.ts";
import type { MakingBody, MakingNewBody } from "../wire/making.ts";
import type { AirOrder, AirResult } from "./airTask.ts";
import { makingScenario, pathInBody, valueComplaints } from "./makingScenario.ts";

const PICTURE_MARGIN_SECONDS = 0.002;
const PICTURE_COLUMNS = 600;
const SPECTRUM_LINES = 512;
const SAMPLES = 400;

/** A telegram that is to be made, with what is asked of it. */
export interface Making {
  readonly layout: Layout;
  readonly scenario: Scenario;
  readonly order: AirOrder;
  readonly durationSeconds: number;
}

/** @returns What is to be put on the air, or every complaint with the key of the body that it is about. */
export function makingOf(body: MakingNewBody): Making | readonly Complaint[] {
  const layout = builtinLayouts.find(({ id }) => id === body.layout);
  if (!layout) {
    const allowed = builtinLayouts.map(({ id }) => id).join(", ");
    return [{ path: "layout", found: JSON.stringify(body.layout), allowed }];
  }
  const own = valueComplaints(layout, body.values);
  if (own.length > 0) return own;
  const file = makingScenario(layout, body);
  const parsed = parseScenario(file);
  if (!parsed.ok) return parsed.complaints.map((one) => ({ ...one, path: pathInBody(one.path, layout) }));
  const [copy] = planOf(parsed.scenario).copies;
  if (!copy) throw new RangeError("a making without a copy");
  const [fromSeconds, toSeconds] = [copy.atSeconds, copy.endSeconds];
  const leadSeconds =
    ((leadSymbols(layout) - (body.breaks?.cutSyncSymbols ?? 0)) * (toSeconds - fromSeconds)) / copy.symbols.length;
  return {
    layout,
    scenario: parsed.scenario,
    durationSeconds: toSeconds - fromSeconds,
    order: {
      scenario: file,
      pictures: [
        {
          fromSeconds: fromSeconds - PICTURE_MARGIN_SECONDS,
          toSeconds: toSeconds + PICTURE_MARGIN_SECONDS,
          columns: PICTURE_COLUMNS,
        },
      ],
      spectra: [{ fromSeconds, toSeconds, lines: SPECTRUM_LINES }],
      samples: [{ fromSeconds: fromSeconds + leadSeconds, count: SAMPLES }],
    },
  };
}

/** What was sent, and what the decoder made of it. */
export function makingBody({ layout, scenario, durationSeconds }: Making, result: AirResult): MakingBody {
  const { sendings, copies } = planOf(scenario);
  const [sending, copy, picture, spectrum, samples] = [
    sendings[0],
    copies[0],
    result.pictures[0],
    result.spectra[0],
    result.samples[0],
  ];
  if (!sending || !copy || !picture || !spectrum || !samples) throw new RangeError("a making without its looks");
  const bits = frameBits(layout, sending.raw);
  const { burst, telegram, rungs } = heardOf(result, copy.atSeconds, copy.endSeconds);
  const lead = leadSymbols(layout) - (sending.broken?.cutSyncSymbols ?? 0);
  const preamble = layout.preamble.symbols.length * layout.preamble.repeat;
  const carrierHz = result.captures[0]?.carrierHz ?? 0;
  const lowHz = carrierHz + spectrum.lowHz;
  return {
    layout: layout.id,
    bits: bits.join(""),
    sentBits: sending.bits.join(""),
    checkValues: layout.checks.map((check) => checkValueBody(check, bits)),
    fields: Object.fromEntries(layout.fields.map((field) => [field.name, fieldShown(field, sending.raw, scenario)])),
    symbols: {
      preamble: copy.symbols.subarray(0, preamble).join(""),
      sync: copy.symbols.subarray(preamble, lead).join(""),
      frame: copy.symbols.subarray(lead).join(""),
    },
    symbolRate: layout.symbolRate * (1 + copy.clockPpm * 1e-6),
    carrierHz: copy.carrierHz,
    atSeconds: copy.atSeconds,
    durationSeconds,
    sampleRateHz: result.sampleRateHz,
    outcome: outcomeOf(telegram, layout, bits),
    burst: burst ? { ...burst, rungs: [...burst.rungs] } : null,
    telegram: telegram ? { ...telegram, repeats: [...telegram.repeats] } : null,
    rungs: [...rungs],
    picture: {
      ...picture,
      least: [...picture.least],
      most: [...picture.most],
      lowestHz: [...picture.lowestHz],
      highestHz: [...picture.highestHz],
    },
    spectrum: {
      fromSeconds: spectrum.fromSeconds,
      toSeconds: spectrum.toSeconds,
      centreHz: carrierHz,
      lowHz,
      highHz: lowHz + result.sampleRateHz,
      lineHz: spectrum.lineHz,
      resolutionHz: spectrum.resolutionHz,
      window: "Hann",
      segments: spectrum.segments,
      dbfs: [...spectrum.dbfs],
      noiseDbfs: spectrum.noiseDbfs,
      nominal: [{ carrierHz, inBand: true, layouts: [layout.id] }],
      because: null,
    },
    samples: {
      fromSeconds: samples.fromSample / result.sampleRateHz,
      i: samples.iq.filter((_, n) => n % 2 === 0),
      q: samples.iq.filter((_, n) => n % 2 === 1),
    },
  };
}

function checkValueBody(check: Check, bits: Uint8Array): MakingBody["checkValues"][number] {
  const { at, width } = checkPlace(check);
  const digits = Math.ceil(width / 4);
  const padded = new Uint8Array(4 * digits);
  padded.set(bits.subarray(at, at + width), padded.length - width);
  return { kind: `${check.kind} of ${width} bit${width === 1 ? "" : "s"}`, at, width, value: hexOfBits(padded) };
}

function fieldShown(field: Field, raw: Readonly<Record<string, number | bigint>>, scenario: Scenario) {
  const [sensor] = scenario.sensors;
  const value = Number(raw[field.name] ?? 0);
  switch (field.type) {
    case "identity":
      return BigInt(`0x${sensor?.identity ?? "0"}`)
        .toString(16)
        .padStart(Math.ceil(field.bits / 4), "0");
    case "flag":
      return value === 1;
    case "code":
      return field.values?.[String(value)] ?? null;
    case "constant":
      return field.equals ?? null;
    case "unsigned":
    case "signed":
      return Number((value * (field.scale ?? 1) + (field.offset ?? 0)).toPrecision(12));
  }
}

/** The burst that fills most of the telegram's time, and the telegram that began there. */
function heardOf({ records }: AirResult, fromSeconds: number, toSeconds: number) {
  const together = (burst: BurstRecord) =>
    Math.min(toSeconds, burst.atSeconds + burst.durationSeconds) - Math.max(fromSeconds, burst.atSeconds);
  const bursts = records.filter((record): record is BurstRecord => record.kind === "burst");
  const [burst] = bursts.filter((one) => together(one) > 0).sort((a, b) => together(b) - together(a));
  const telegrams = records.filter((record): record is TelegramRecord => record.kind === "telegram");
  const telegram = burst && telegrams.find(({ repeats }) => repeats.includes(burst.index));
  const summary = records.find((record): record is SummaryRecord => record.kind === "summary");
  return { burst, telegram, rungs: burst?.rungs ?? summary?.rungs ?? [] };
}

function outcomeOf(telegram: TelegramRecord | undefined, layout: Layout, bits: Uint8Array): MakingBody["outcome"] {
  if (!telegram) return "missed";
  if (!telegram.verified) return "unsure";
  return telegram.layout === layout.id && telegram.bits === hexOfBits(bits) ? "read" : "other";
}
