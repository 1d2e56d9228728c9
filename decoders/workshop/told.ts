import { checkWidth } from "../layouts/validate.ts";
import type { CheckFinding, Derived } from "./derive.ts";
import type { FieldFinding } from "./fields.ts";
import type { Suggestion } from "./next.ts";
import type { Proof } from "./prove.ts";

/** A station of the way to a layout, and what was found there. */
export interface Station {
  readonly name: "gather" | "line up" | "what moves" | "name" | "check" | "prove";
  readonly says: readonly string[];
}

/** What a derivation found, station by station, in the words that command line and page share. */
export function stations({ gathered, group, codes, derivation, unreadAs }: Derived, proof: Proof): readonly Station[] {
  const { table, telegrams, aside, senders, movement, checks, fields, whitened, linearRule, outside } = derivation;
  const { members } = group.aligned;
  const mhz = (group.carrierHz / 1e6).toFixed(2);
  const deviation = group.deviationHz === null ? "" : `, deviation ${Math.round(group.deviationHz / 100) / 10} kHz`;
  const others = gathered.groups.length - 1;
  const kinds = ["identity", "slow value", "counter", "flag", "check", "constant"] as const;
  const moving = kinds.map((kind) => [kind, movement.filter(({ likeness }) => likeness === kind).length] as const);
  return [
    {
      name: "gather",
      says: [
        `${members.length} bursts belong together: ${mhz} MHz, ${group.modulation.toUpperCase()}${deviation}, ${group.symbolRate.toFixed(0)} symbols a second.`,
        ...(others > 0 ? [`${others} other ${others === 1 ? "group" : "groups"} of bursts.`] : []),
        ...gathered.outliers.map(({ caught, because }) => `${caught.id} stands apart: ${because}.`),
      ],
    },
    {
      name: "line up",
      says: [
        table.preamble.symbols === ""
          ? "No period was found at the beginning."
          : `They begin with ${table.preamble.symbols}, again and again.`,
        ...(unreadAs === undefined ? [] : [`Read as ${unreadAs} no frames come of them; so the likeliest was taken.`]),
        codeSays(codes, table.reading.lineCode),
        `${table.bitCount} bits a frame, ${table.constantLengths.length} of them constant at the beginning; ${telegrams.length + aside.length} telegrams.`,
        ...(table.damaged.length > 0 ? [`${table.damaged.length} bursts broke off or do not obey the line code.`] : []),
        whitened
          ? `Whitened: ${whitened.source}.`
          : "No published whitening explains more than none. A mask that never changes cannot be told from other constants.",
      ],
    },
    {
      name: "what moves",
      says: [
        `${moving
          .flatMap(([kind, count]) =>
            count > 0 ? [`${count} ${count === 1 ? "bit" : "bits"} like ${withArticle(kind)}`] : [],
          )
          .join(", ")}.`,
        senders
          ? `${senders.count} sensors, by bits ${senders.at} to ${senders.at + senders.bits - 1}.`
          : "No bits tell senders apart.",
      ],
    },
    {
      name: "name",
      says: [
        ...(fields.fields.length > 0 ? fields.fields.map(fieldSays) : ["No bits follow a gauge."]),
        ...outside.map(
          ({ name }) =>
            `${name} was named where these frames have no bits; it is kept, and counts again when they have.`,
        ),
      ],
    },
    {
      name: "check",
      says:
        checks.length > 0
          ? checks.map(checkSays)
          : [
              linearRule
                ? `Bits ${linearRule.at} to ${linearRule.at + linearRule.bits - 1} follow from the others by exclusive-ors, but by no check with a name.`
                : "No check explains the frames.",
            ],
    },
    {
      name: "prove",
      says: [
        `${proof.hits} of ${proof.tested.length} telegrams that were kept aside are read.`,
        // No number of telegrams tells a state that never changes from an identity.
        ...(proof.doubts.length === 0
          ? ["A state beside the identity that never changed meanwhile may pass for a part of it.", "It holds."]
          : proof.doubts),
      ],
    },
  ];
}

export function suggestionSays({ ask, because }: Suggestion): string {
  return `${ask} ${because}`;
}

function withArticle(kind: string): string {
  return kind === "identity" ? "an identity" : kind === "constant" ? "a constant" : `a ${kind}`;
}

function codeSays(codes: Derived["codes"], taken: string): string {
  const own = codes.find(({ lineCode, inverted }) => lineCode === taken && !inverted);
  if (!own) return `Line code ${taken}.`;
  const alike = codes.filter(({ logLikelihood }) => Math.abs(logLikelihood - own.logLikelihood) < 3);
  const names = [...new Set(alike.map(({ lineCode }) => lineCode))].filter((name) => name !== taken);
  const next = codes.find(({ logLikelihood }) => logLikelihood < own.logLikelihood - 3);
  const margin = next
    ? `, 10^${((own.logLikelihood - next.logLikelihood) * Math.LOG10E).toFixed(0)} times likelier a burst than ${next.lineCode}`
    : "";
  const tie = names.length > 0 ? `; ${names.join(", ")} obey the same symbols, check and fields decided` : "";
  return `Line code ${taken}${margin}${tie}.`;
}

function fieldSays({
  quantity,
  at,
  bits,
  bitOrder,
  signed,
  constants: [best],
  residual,
  lnChance,
  points,
  rivals,
}: FieldFinding): string {
  const unit = quantity === "pressure" ? "kPa" : "°C";
  const order = bitOrder === "lsb-first" ? ", lowest bit first" : "";
  const sign = signed ? ", signed" : "";
  const formula = best
    ? `raw × ${best.scale}${best.offset === 0 ? "" : ` ${best.offset < 0 ? "−" : "+"} ${Math.abs(best.offset)}`} ${unitSays(best.unit)}`
    : "no round constants";
  const absolute = best?.reference === "absolute" ? " absolute" : "";
  const chance = `10^${Math.round(lnChance / Math.LN10)}`;
  const doubt = rivals.length > 0 ? ` ${rivals.length} other stretches fit nearly as well.` : "";
  return `${quantity}: bits ${at} to ${at + bits - 1}${order}${sign}: ${formula}${absolute}, within ${residual.toFixed(1)} ${unit} at ${points} readings; by accident ${chance}.${doubt}`;
}

function unitSays(unit: string): string {
  return unit === "degC" ? "°C" : unit === "degF" ? "°F" : unit;
}

export function checkSays(finding: CheckFinding): string {
  const { check, agreeing, rank, evidenceBits, earliestStart, latestStart } = finding;
  const width = checkWidth(check);
  const covers = check.covers.map(([first, count]) => `${first} to ${first + count - 1}`).join(" and ");
  const name =
    check.kind === "crc"
      ? `CRC of ${width} bits, polynomial ${check.poly}, initial ${check.init}, final ${check.xorout}${check.refin ? ", bytes mirrored" : ""}${check.refout ? ", value mirrored" : ""}`
      : check.kind === "parity"
        ? `${check.parity} parity`
        : `${check.kind === "sum" && check.complement ? "complement of the " : ""}${check.kind} of words of ${width} bits, from ${check.init}`;
  const start =
    earliestStart < latestStart
      ? ` It may begin anywhere from bit ${earliestStart} to ${latestStart}, which are constant.`
      : "";
  const pair =
    check.kind === "crc"
      ? " Of initial and final value only the sum is known: other pairs give the same in frames of this length."
      : "";
  const swapped =
    "swapped" in finding && finding.swapped
      ? " Its octets go on air in turned order, which a layout file cannot say."
      : "";
  return `${name}, over bits ${covers}, at bit ${check.at}: ${agreeing} telegrams agree, ${rank} of them independent; by accident 2^−${Math.floor(evidenceBits)} after all that was tried.${start}${pair}${swapped}`;
}
