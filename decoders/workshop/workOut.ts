import { hexOfBits } from "../frames/hex.ts";
import { type Check, type Field, type Layout, LayoutShape, type LineCodeName } from "../layouts/schema.ts";
import { parseLayout } from "../layouts/validate.ts";
import type { Caught } from "./caught.ts";
import { type CheckFinding, type Derived, derive } from "./derive.ts";
import type { Telegram } from "./frames.ts";
import type { Gathered } from "./gather.ts";
import { figuresBy, type GaugeReading, type Quantity } from "./gaugeLog.ts";
import { layoutOf, skippedBits } from "./layoutOf.ts";
import { type BitMovement, companions } from "./movement.ts";
import { nextRecordings, type Suggestion } from "./next.ts";
import type { Constants } from "./plausible.ts";
import { type Proof, prove } from "./prove.ts";
import type { Senders } from "./senders.ts";
import { valuesOf } from "./testFrames.ts";
import { checkSays, type Station, stations } from "./told.ts";
import { anchorsIn, isSameCheck } from "./wishes.ts";
import { caughtOn, type Decided, readingsOn, type Worksheet, wishesOn } from "./worksheet.ts";

/** What follows from a worksheet, in plain JSON values. Places are bits of the frames as they are shown here. */
export interface WorkedOut {
  readonly stations: readonly Station[];
  readonly groups: readonly WorkedGroup[];
  /** Bursts that are like no others. */
  readonly apart: readonly { readonly id: string; readonly because: string }[];
  /** Without a group of three that begin alike: nothing. */
  readonly frames: WorkedFrames | null;
}

export interface WorkedGroup {
  readonly bursts: readonly string[];
  readonly carrierHz: number;
  readonly modulation: "ask" | "fsk";
  readonly deviationHz: number | null;
  readonly symbolRate: number;
  readonly symbolCount: number;
  readonly chosen: boolean;
}

export interface WorkedFrames {
  readonly lineUp: {
    readonly preamble: string;
    /** Symbols before the frame, and of them those of the preamble's repetitions. */
    readonly head: string;
    readonly preambleEnd: number;
    readonly codes: readonly WorkedCode[];
    readonly whitened: string | null;
    readonly damaged: readonly string[];
  };
  /** What was told by its place, in the places shown here, whether it applies or not; to be told so with what comes next. */
  readonly told: Pick<Decided, "named" | "check" | "anchors">;
  readonly bitCount: number;
  /** Bits at the beginning that nothing needs; the layout's frame begins behind them. */
  readonly skippedBits: number;
  readonly bits: readonly (BitMovement & {
    /** The bit that tells most of this one, and how many bits it tells. */
    readonly companion: number | null;
    readonly companionBits: number;
  })[];
  readonly senders: { readonly at: number; readonly bits: number; readonly rows: readonly WorkedSender[] } | null;
  readonly telegrams: readonly WorkedTelegram[];
  /** Telegrams kept aside: nothing more of them is shown before it is proved by them. */
  readonly aside: readonly Pick<WorkedTelegram, "ids" | "atSeconds" | "kPa" | "degC">[];
  readonly clockSeconds: number;
  readonly fields: readonly WorkedField[];
  readonly checks: readonly WorkedCheck[];
  readonly suggestions: readonly Suggestion[];
  readonly layout: Layout | null;
  /** Why the layout does not fit, where it does not. */
  readonly complaints: readonly { readonly path: string; readonly found: string; readonly allowed: string }[];
  readonly proof: Proof;
}

export interface WorkedCode {
  readonly lineCode: LineCodeName;
  readonly inverted: boolean;
  /** ln of how much less likely a burst is with it than with the likeliest. */
  readonly behind: number;
  readonly brokenShare: number;
  readonly taken: boolean;
}

export interface WorkedSender {
  readonly identity: string;
  /** Of all bursts of its telegrams, those kept aside too. */
  readonly bursts: readonly string[];
  readonly telegrams: number;
  readonly fromSeconds: number;
  readonly toSeconds: number;
  readonly values: readonly { readonly name: string; readonly least: number; readonly most: number }[];
}

export interface WorkedTelegram {
  readonly ids: readonly string[];
  readonly atSeconds: number;
  readonly sender: number | null;
  /** Hex, padded with zero bits at the end. */
  readonly bits: string;
  readonly broken: number;
  readonly kPa: number | null;
  readonly degC: number | null;
  readonly values: Readonly<Record<string, number | string | boolean | null>>;
}

/** A field that follows figures or was named, as the layout would have it; and what else the figures allow. */
export interface WorkedField {
  readonly field: Field;
  readonly named: boolean;
  readonly residual: number | null;
  readonly points: number;
  readonly lnChance: number | null;
  readonly constants: readonly WorkedConstants[];
  readonly rivals: readonly Field[];
}

export type WorkedConstants = Pick<Constants, "unit" | "scale" | "offset" | "reference"> & {
  /** Nats behind the likeliest. */
  readonly behind: number;
};

export interface WorkedCheck {
  readonly says: string;
  readonly check: Check;
  readonly evidenceBits: number;
  readonly taken: boolean;
}

const UNNAMED = { id: "unnamed", title: "Worked out here", notes: "" };
const MOST_CONSTANTS = 6;

/** The slow part of working out, which what the layout is called does not change. */
export interface Deduced {
  readonly caught: readonly Caught[];
  readonly log: readonly GaugeReading[];
  readonly derived: ReturnType<typeof derive>;
}

/** Takes up to some seconds, and more for very many bursts. */
export function deduce(sheet: Worksheet): Deduced {
  const caught = caughtOn(sheet);
  const log = readingsOn(sheet);
  return { caught, log, derived: derive(caught, log, wishesOn(sheet)) };
}

/** All that a worksheet's bursts, figures and decisions come to. @param deduced Of the same sheet, but for its naming. */
export function workOut(sheet: Worksheet, { caught, log, derived }: Deduced = deduce(sheet)): WorkedOut {
  if (!derived.group) return withoutGroup(derived.gathered, caught);
  const { id, title, notes } = sheet.now.naming;
  // What an id may be is asked when it goes on the shelf; until then a poor one keeps nobody from working.
  const naming = {
    id: LayoutShape.shape.id.safeParse(id).success ? id : UNNAMED.id,
    title: title || UNNAMED.title,
    notes,
  };
  const drawn = layoutOf(derived, naming);
  const parsed = parseLayout(drawn);
  const proof = parsed.ok ? prove(derived, parsed.layout, caught, log) : UNFIT;
  const { gathered, group } = derived;
  return {
    stations: stations(derived, proof),
    groups: groupsOf(gathered, group),
    apart: gathered.outliers.map(({ caught: one, because }) => ({ id: one.id, because })),
    frames: {
      ...framesOf(derived, drawn, log),
      layout: parsed.ok ? parsed.layout : null,
      complaints: parsed.ok ? [] : parsed.complaints.map(({ path, found, allowed }) => ({ path, found, allowed })),
      proof,
    },
  };
}

/** Of what is no layout nothing is proved. */
const UNFIT: Proof = { tested: [], hits: 0, doubts: ["What was named does not go together in one layout."] };

function withoutGroup(gathered: Gathered, caught: readonly Caught[]): WorkedOut {
  const says =
    caught.length === 0
      ? "Nothing was brought in that no layout reads."
      : gathered.groups.length > 0
        ? `${caught.length} bursts that nothing reads; those that belong together are too short or too few to hold frames.`
        : `${caught.length} bursts that nothing reads, of which no three belong together: more of them are needed.`;
  return {
    stations: [{ name: "gather", says: [says] }],
    groups: groupsOf(gathered, undefined),
    apart: gathered.outliers.map(({ caught: one, because }) => ({ id: one.id, because })),
    frames: null,
  };
}

function groupsOf({ groups }: Gathered, chosen: Gathered["groups"][number] | undefined): readonly WorkedGroup[] {
  return groups.map((group) => ({
    bursts: group.aligned.members.map(({ caught: { id } }) => id),
    carrierHz: group.carrierHz,
    modulation: group.modulation,
    deviationHz: group.deviationHz,
    symbolRate: group.symbolRate,
    symbolCount: group.aligned.members[0]!.caught.symbols.length,
    chosen: group === chosen,
  }));
}

function framesOf(
  { group, codes, derivation }: Derived,
  layout: Layout,
  log: readonly GaugeReading[],
): Omit<WorkedFrames, "layout" | "complaints" | "proof"> {
  const { table, whitened, telegrams, aside, senders, movement, bitCount, fields } = derivation;
  const best = Math.max(...codes.map(({ logLikelihood }) => logLikelihood));
  const skipped = skippedBits(derivation);
  const here: Layout = { ...layout, fields: layout.fields.map((field) => ({ ...field, at: field.at + skipped })) };
  const [kPaOf, degCOf] = (["pressure", "temperature"] as const).map((quantity: Quantity) =>
    figuresBy(log, quantity, fields.clockSeconds, fields.carrying),
  );
  const measuredOf = (telegram: Pick<WorkedTelegram, "ids" | "atSeconds">) => ({
    kPa: kPaOf!(telegram) ?? null,
    degC: degCOf!(telegram) ?? null,
  });
  const rows = telegrams.map((telegram, i): WorkedTelegram & { readonly raw: Uint8Array } => ({
    ids: telegram.ids,
    atSeconds: telegram.atSeconds,
    sender: senders?.of[i] ?? null,
    bits: hexOfBits(telegram.bits.subarray(0, bitCount)),
    broken: telegram.broken,
    ...measuredOf(telegram),
    values: valuesOf(here, telegram.bits),
    raw: telegram.bits,
  }));
  const together = companions(telegrams.map(({ bits }) => bits));
  return {
    lineUp: {
      preamble: table.preamble.symbols,
      head: table.head.subarray(0, table.start).join(""),
      preambleEnd: Math.min(table.preamble.end, table.start),
      codes: codes.map(({ lineCode, inverted, logLikelihood, brokenShare }) => ({
        lineCode,
        inverted,
        behind: best - logLikelihood,
        brokenShare,
        taken: lineCode === table.reading.lineCode && !inverted,
      })),
      whitened: whitened?.source ?? null,
      damaged: table.damaged,
    },
    told: {
      named: [...derivation.named, ...derivation.outside],
      check: derivation.asked ?? null,
      anchors: anchorsIn(group.aligned, table, whitened?.ahead ?? 0),
    },
    bitCount,
    skippedBits: skipped,
    bits: movement.slice(0, bitCount).map((one, i) => ({
      ...one,
      companion: together[i]?.bit ?? null,
      companionBits: together[i]?.tells ?? 0,
    })),
    senders: senders ? { at: senders.at, bits: senders.bits, rows: senderRows(rows, aside, senders) } : null,
    telegrams: rows.map(({ raw: _raw, ...row }) => row),
    aside: aside.map(({ ids, atSeconds }) => ({ ids, atSeconds, ...measuredOf({ ids, atSeconds }) })),
    clockSeconds: fields.clockSeconds,
    fields: fieldsOf(derivation, here),
    checks: checksOf(derivation.checks, derivation.candidates),
    suggestions: nextRecordings(derivation, log),
  };
}

function senderRows(
  rows: readonly (WorkedTelegram & { readonly raw: Uint8Array })[],
  aside: readonly Telegram[],
  { at, bits, count }: Senders,
): readonly WorkedSender[] {
  const identityOf = (frame: Uint8Array) => hexOfBits(frame.subarray(at, at + bits));
  return Array.from({ length: count }, (_, sender): WorkedSender => {
    const own = rows.filter((row) => row.sender === sender);
    const names = Object.keys(own[0]?.values ?? {}).filter((name) => typeof own[0]!.values[name] === "number");
    const identity = identityOf(own[0]!.raw);
    const others = aside.filter((telegram) => identityOf(telegram.bits) === identity);
    return {
      identity,
      bursts: [...own, ...others].flatMap(({ ids }) => ids),
      telegrams: own.length,
      fromSeconds: Math.min(...own.map(({ atSeconds }) => atSeconds)),
      toSeconds: Math.max(...own.map(({ atSeconds }) => atSeconds)),
      values: names.map((name) => {
        const all = own.map(({ values }) => Number(values[name]));
        return { name, least: Math.min(...all), most: Math.max(...all) };
      }),
    };
  });
}

function fieldsOf({ fields, named }: Derived["derivation"], here: Layout): readonly WorkedField[] {
  return here.fields.map((field): WorkedField => {
    const found = fields.fields.find(({ at, bits }) => at === field.at && bits === field.bits);
    const [best] = found?.constants ?? [];
    return {
      field,
      named: named.some(({ at }) => at === field.at),
      residual: found?.residual ?? null,
      points: found?.points ?? 0,
      lnChance: found?.lnChance ?? null,
      constants: (found?.constants ?? []).slice(0, MOST_CONSTANTS).map(({ unit, scale, offset, reference, total }) => ({
        unit,
        scale,
        offset,
        reference,
        behind: total - (best?.total ?? 0),
      })),
      rivals: (found?.rivals ?? []).map(({ at, bits, bitOrder, signed }) => ({
        ...field,
        at,
        bits,
        bitOrder,
        type: signed ? "signed" : "unsigned",
      })),
    };
  });
}

function checksOf(taken: readonly CheckFinding[], candidates: readonly CheckFinding[]): readonly WorkedCheck[] {
  const others = candidates.filter(({ check }) => !taken.some((one) => isSameCheck(one.check, check)));
  return [...taken, ...others].map((finding) => ({
    says: checkSays(finding),
    check: finding.check,
    evidenceBits: finding.evidenceBits,
    taken: taken.includes(finding),
  }));
}
