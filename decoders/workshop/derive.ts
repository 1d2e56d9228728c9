import type { Check, Field, LineCodeName } from "../layouts/schema.ts";
import { checkWidth } from "../layouts/validate.ts";
import { asideOf } from "./aside.ts";
import type { Caught } from "./caught.ts";
import { best, isImplied, isIn, sameWords } from "./chooseChecks.ts";
import { type CrcFinding, findCrcs } from "./crcSearch.ts";
import { type FieldSearch, findFields, quickGain } from "./fields.ts";
import { type FrameTable, frameTable, type Telegram, UNSEEN } from "./frames.ts";
import { type Gathered, type Group, gather } from "./gather.ts";
import type { GaugeReading } from "./gaugeLog.ts";
import { findLinearRule, type LinearRule } from "./linearRule.ts";
import { type CodeReading, codeReadings } from "./lineCodes.ts";
import { mended } from "./mend.ts";
import { type BitMovement, movement } from "./movement.ts";
import { rowsOf } from "./rows.ts";
import { findSenders, type Senders } from "./senders.ts";
import { masked, maskOf, PUBLISHED_SEQUENCES, type PublishedSequence } from "./whiten.ts";
import { fieldsNamed, isSameCheck, movedCheck, type Named, namedSenders, namedShift, type Wishes } from "./wishes.ts";
import { findParities, findWordChecks, type WordFinding } from "./wordChecks.ts";

export type CheckFinding = CrcFinding | WordFinding;

export interface Whitened extends PublishedSequence {
  /** Where the sequence begins, and with it the frame: so many bits behind the table's first one, as a number below 0. */
  readonly ahead: number;
  /** ln of how much likelier the figures are with it than without any. */
  readonly gain: number;
}

/** What a group of bursts was made of, under one line code. */
export interface Derivation {
  readonly table: FrameTable;
  readonly whitened: Whitened | undefined;
  /** Of the frame: the table's, less what stands behind the check and may be noise behind the carrier's end. */
  readonly bitCount: number;
  /** Kept aside from the beginning; nothing was fitted to them. */
  readonly aside: readonly Telegram[];
  /** What everything was fitted to; whitening is taken off. */
  readonly telegrams: readonly Telegram[];
  readonly senders: Senders | undefined;
  readonly movement: readonly BitMovement[];
  readonly checks: readonly CheckFinding[];
  /** Checks that the frames would bear, the likeliest first, whichever of them was taken. */
  readonly candidates: readonly CheckFinding[];
  /** Fields that somebody named, in the places of these frames. */
  readonly named: readonly Field[];
  /** What was told by its place and does not apply: it would leave the frame, or nothing tells where it is. */
  readonly outside: readonly Field[];
  /** The check that was asked for, in the places of these frames. */
  readonly asked: Check | "none" | undefined;
  /** Where no check was found: bits that follow from the others all the same. */
  readonly linearRule: LinearRule | undefined;
  readonly fields: FieldSearch;
  /** Checks, places and manners that were tried. */
  readonly trials: number;
  /** Nats by which check and fields speak for this line code. */
  readonly weight: number;
}

/** The way from bursts to a layout. */
export interface Derived {
  readonly gathered: Gathered;
  readonly group: Group;
  /** Every line code, the likeliest first. */
  readonly codes: readonly CodeReading[];
  /** Of the line codes that symbols alone cannot tell apart the one that check and fields speak for. */
  readonly derivation: Derivation;
  /** The others. */
  readonly rivals: readonly Derivation[];
  /** The line code that was asked for, where no frames come of it. */
  readonly unreadAs: LineCodeName | undefined;
}

/** Line codes this close behind the likeliest, in nats a burst, are looked into. */
const NEAR = 6;
const SURE_WEIGHT = 60;

/**
 * Works out the layout of one of the groups that bursts fall into.
 *
 * @param wishes What somebody decided; the likeliest of everything else.
 * @returns `undefined` where there is no such group, or its bursts are too short to hold a frame.
 */
export function derive(
  caught: readonly Caught[],
  log: readonly GaugeReading[],
  wishes: Wishes = {},
): Derived | { readonly gathered: Gathered; readonly group: undefined } {
  const gathered = gather(caught);
  const chosen = gathered.groups.find(({ aligned }) =>
    aligned.members.some(({ caught: { id } }) => id === wishes.burst),
  );
  const group = chosen ?? gathered.groups[0];
  if (!group) return { gathered, group: undefined };
  const codes = codeReadings(group.aligned);
  const named = codes.find(({ lineCode, inverted }) => lineCode === wishes.lineCode && !inverted);
  const asked = named && deriveWith(group, named, log, wishes);
  const derivations: Derivation[] = asked ? [asked] : [];
  for (const reading of asked ? [] : tellable(codes)) {
    const straight = deriveWith(group, reading, log, wishes);
    if (!straight) continue;
    const derivation = risen(straight, codes, (turned) => deriveWith(group, turned, log, wishes));
    derivations.push(derivation);
    if (derivation.weight > SURE_WEIGHT && isWhole(derivation, log)) break;
  }
  derivations.sort((a, b) => b.weight - a.weight);
  const [derivation, ...rivals] = derivations;
  if (!derivation) return { gathered, group: undefined };
  const unreadAs = asked ? undefined : named?.lineCode;
  return { gathered, group, codes, derivation, rivals, unreadAs };
}

/** A narrow check may be what is left of the right one under another line code. */
const WIDE_CHECK = 8;

/** A check, and a field for every kind of figure. */
function isWhole({ checks, fields }: Derivation, log: readonly GaugeReading[]): boolean {
  return checks.some(({ check }) => checkWidth(check) >= WIDE_CHECK) && fields.fields.length === kindsIn(log);
}

function kindsIn(log: readonly GaugeReading[]): number {
  return Number(log.some(({ kPa }) => kPa !== undefined)) + Number(log.some(({ degC }) => degC !== undefined));
}

const TWINS: readonly (readonly string[])[] = [
  ["manchester-ieee", "manchester-thomas"],
  ["biphase-mark", "biphase-space"],
];

/** Line codes near the likeliest that give other bits; an inversion only turns every bit. */
function tellable(codes: readonly CodeReading[]): readonly CodeReading[] {
  const [best] = codes;
  const near = codes.filter(
    ({ inverted, logLikelihood }) => !inverted && best !== undefined && logLikelihood > best.logLikelihood - NEAR,
  );
  // The same bits turned over, or the same changes counted from the middle of a bit.
  return near.filter(
    (one, i) =>
      !TWINS.some(
        (pair) => pair.includes(one.lineCode) && near.slice(0, i).some((other) => pair.includes(other.lineCode)),
      ),
  );
}

/** What falls as the figures rise was read turned over, where the line code has an inversion; in doubt both are tried. */
function risen(
  derivation: Derivation,
  codes: readonly CodeReading[],
  again: (reading: CodeReading) => Derivation | undefined,
): Derivation {
  const { reading } = derivation.table;
  const { fields } = derivation.fields;
  const pair = TWINS.find((names) => names.includes(reading.lineCode));
  const turned = pair?.find((name) => name !== reading.lineCode);
  const twin = codes.find(({ lineCode, inverted }) => lineCode === turned && !inverted);
  if (!twin || fields.length === 0 || (fields.every(({ fit }) => fit.slope > 0) && !derivation.whitened))
    return derivation;
  const other = again({ ...twin, boundary: reading.boundary });
  if (!other) return derivation;
  const falling = ({ fields: { fields } }: Derivation) => fields.filter(({ fit }) => fit.slope < 0).length;
  const isBetter = other.weight > derivation.weight + 3 || falling(other) < falling(derivation);
  return isBetter && other.weight > derivation.weight - 3 ? other : derivation;
}

function deriveWith(
  group: Group,
  reading: CodeReading,
  log: readonly GaugeReading[],
  wishes: Wishes,
): Derivation | undefined {
  const table = frameTable(group.aligned, reading);
  if (table.bitCount < LEAST_FRAME_BITS || table.telegrams.length < 3) return undefined;
  const named = (whitened: Whitened | undefined): Named => ({
    wishes,
    shift: namedShift(group.aligned, table, whitened?.ahead ?? 0, wishes),
  });
  const plain = deriveFrom(table, table.telegrams, log, undefined, named(undefined));
  const whitened = whitening(plain, log);
  if (!whitened) return likelier(plain, withoutReturn(table, table.telegrams, log, plain, named(undefined)));
  // What comes before the sequence's begin is no part of the frame.
  const first = -whitened.ahead;
  const mask = maskOf(whitened.whitening, 0, table.bitCount - first);
  const bare = table.telegrams.map((one) => ({ ...one, bits: masked(one.bits.subarray(first), mask) }));
  const white = deriveFrom(table, bare, log, whitened, named(whitened));
  return likelier(white, withoutReturn(table, bare, log, white, named(whitened)));
}

function likelier(one: Derivation, other: Derivation | undefined): Derivation {
  return other && other.weight > one.weight + LEAST_GAIN ? other : one;
}

/**
 * Behind the last bit ASK is silent. Where bits are changes of level, its falling silent is one: a last bit that moves
 * and is none.
 */
function withoutReturn(
  table: FrameTable,
  all: readonly Telegram[],
  log: readonly GaugeReading[],
  { checks, whitened }: Derivation,
  named: Named,
): Derivation | undefined {
  if (checks.length > 0 || table.modulation !== "ask" || table.reading.lineCode !== "nrzi") return undefined;
  const count = rowsOf(all.map(({ bits }) => bits)).moves.lastIndexOf(1);
  if (count < LEAST_FRAME_BITS) return undefined;
  const shorter = all.map((one) => ({ ...one, bits: one.bits.subarray(0, count) }));
  return deriveFrom(table, shorter, log, whitened, named);
}

/** @param all The frames of the table, or what whitening leaves of them. */
function deriveFrom(
  table: FrameTable,
  all: readonly Telegram[],
  log: readonly GaugeReading[],
  whitened: Whitened | undefined,
  told: Named,
  known?: Pick<Derivation, "checks" | "candidates" | "trials">,
): Derivation {
  const aside = asideOf(all);
  const kept = all.filter((one) => !aside.has(one));
  const sound = kept.filter(({ broken }) => broken === 0);
  const telegrams = sound.length >= Math.max(4, kept.length / 4) ? sound : kept;
  const bitCount = all[0]!.bits.length;
  const { wishes, shift } = told;
  const isInside = ({ at, bits }: Field) => at >= 0 && at + bits <= bitCount;
  const placed = fieldsNamed(told);
  const named = placed.filter(isInside);
  const outside = shift === undefined ? (wishes.named ?? []) : placed.filter((field) => !isInside(field));
  const trials = { count: known?.trials ?? 0 };
  const areDoubtful = sound.length < kept.length / 2 && kept.every(({ evidence }) => evidence);
  const rows = rowsOf(
    (areDoubtful ? surestFirst(kept) : telegrams).map(({ bits }) => bits),
    areDoubtful,
  );
  const found = namedSenders(named, telegrams) ?? findSenders(telegrams, named);
  // With bits in doubt the stretch that tells senders apart may seem to reach into a check that is known by now.
  const isInCrc = known?.checks.some((one) => one.check.kind === "crc" && found && isIn(found, one));
  const senders = isInCrc ? undefined : found;
  const moves = movement(telegrams, senders);
  const free = new Uint8Array(bitCount).fill(1);
  const use = (at: number, bits: number) => free.fill(0, at, at + bits);
  if (senders) use(senders.at, senders.bits);
  for (const { at, bits } of named) use(at, bits);
  const checks: CheckFinding[] = [];
  const take = (found: readonly CheckFinding[]) => {
    for (const one of found) {
      const width = checkWidth(one.check);
      if (free.subarray(one.check.at, one.check.at + width).includes(0)) continue;
      if (checks.some((other) => isImplied(one, other))) continue;
      checks.push(one);
      use(one.check.at, width);
    }
  };
  // Which word of a sum is its check only the others tell: where a sure field lies is none.
  const fieldsBeside = () =>
    findFields(
      telegrams,
      log,
      free.map((bit) => 1 - bit),
      named,
    );
  const beforeChecks = fieldsBeside();
  const sure = beforeChecks.fields.filter(({ lnChance }) => lnChance < SURE_LN);
  const overlap = ({ check }: CheckFinding) =>
    sure.filter(({ at, bits }) => at < check.at + checkWidth(check) && check.at < at + bits).length;
  const candidates = known
    ? known.candidates
    : best([...findCrcs(rows, free, trials), ...findWordChecks(rows, free, trials)], rows.moves, overlap);
  const { check } = wishes;
  const asked =
    check === undefined || check === "none" ? check : shift === undefined ? undefined : movedCheck(check, shift);
  if (known && asked === undefined) {
    take(known.checks.filter((one) => one.check.kind === "crc"));
    take(best(sameWords(findWordChecks(rows, free, trials), known.checks), rows.moves, overlap));
    take(known.checks);
  } else if (asked === undefined) take(candidates);
  else if (asked !== "none") take(candidates.filter((one) => isSameCheck(one.check, asked)));
  if (!known && areDoubtful && checks.length > 0 && checks.every((one) => !("swapped" in one && one.swapped))) {
    // What the checks were found in is no news to them; senders and fields gain by it.
    const own = checks.map((one) => one.check);
    const better = all.map((one) => (aside.has(one) ? one : mended(one, own)));
    return deriveFrom(table, better, log, whitened, told, { checks, candidates, trials: trials.count });
  }
  const fields = checks.length === 0 ? beforeChecks : fieldsBeside();
  for (const { at, bits } of fields.fields) use(at, bits);
  if (!known && asked !== "none") take(findParities(rows, free, trials));
  const last = Math.max(
    free.lastIndexOf(0) + 1,
    ...checks.flatMap(({ check }) => check.covers.map(([at, count]) => at + count)),
  );
  return {
    table,
    whitened,
    bitCount: checks.length > 0 && bitCount - last <= MOST_LEFT_OVER + UNSEEN ? last : bitCount,
    aside: all.filter((one) => aside.has(one)),
    telegrams,
    senders,
    movement: moves,
    checks,
    candidates: candidates.slice(0, MOST_CANDIDATES),
    named,
    outside,
    asked,
    linearRule: checks.length === 0 ? findLinearRule(rows, trials) : undefined,
    fields,
    trials: trials.count,
    weight: checks.reduce((sum, { evidenceBits }) => sum + evidenceBits * Math.LN2, 0) + fields.gain,
  };
}

const MOST_CANDIDATES = 12;

/** By how many of their bits are likely wrong. */
function surestFirst(telegrams: readonly Telegram[]): readonly Telegram[] {
  const wrong = ({ evidence = new Float32Array() }: Telegram) =>
    evidence.reduce((sum, one) => sum + 1 / (1 + Math.exp(Math.abs(one))), 0);
  return telegrams
    .map((telegram) => ({ telegram, wrong: wrong(telegram) }))
    .sort((a, b) => a.wrong - b.wrong)
    .map(({ telegram }) => telegram);
}

const LEAST_FRAME_BITS = 12;
const SURE_LN = -40;
const MOST_LEFT_OVER = 3;

const LEAST_GAIN = 12;
/** So many of the sequences that do best at first sight are looked at closely. */
const MOST_CLOSE = 10;
/** Fields that correlate so well and have such round constants need no other explanation. */
const GOOD_CORRELATION = 0.995;
const GOOD_COST = 9;

/** A published sequence with which the figures are followed much better than without one. */
function whitening(
  { table, telegrams, senders, checks, fields }: Derivation,
  log: readonly GaugeReading[],
): Whitened | undefined {
  const isGood = fields.fields.every(
    ({ correlation, constants: [first] }) =>
      Math.abs(correlation) > GOOD_CORRELATION && first !== undefined && first.total < GOOD_COST,
  );
  if (log.length === 0 || (fields.fields.length === kindsIn(log) && isGood)) return undefined;
  const taken = new Uint8Array(table.bitCount);
  if (senders) taken.fill(1, senders.at, senders.at + senders.bits);
  for (const { check } of checks) taken.fill(1, check.at, check.at + checkWidth(check));
  const candidates: Whitened[] = [];
  for (const published of PUBLISHED_SEQUENCES) {
    for (let ahead = -table.constantLengths.length; ahead <= 0; ahead++) {
      const bare = withoutMask(telegrams, maskOf(published.whitening, ahead, table.bitCount));
      candidates.push({ ...published, ahead, gain: quickGain(bare, log, taken, fields) });
    }
  }
  const close = candidates
    .sort((a, b) => b.gain - a.gain)
    .slice(0, MOST_CLOSE)
    .map((one) => {
      const bare = withoutMask(telegrams, maskOf(one.whitening, one.ahead, table.bitCount));
      return { ...one, gain: findFields(bare, log, taken).gain - fields.gain };
    })
    // The same bits may stand further on in the sequence: the frame begins as late as can be.
    .sort((a, b) => Math.round(b.gain - a.gain) || a.ahead - b.ahead);
  const [found] = close;
  return found && found.gain > LEAST_GAIN + Math.log(candidates.length) ? found : undefined;
}

function withoutMask(telegrams: readonly Telegram[], mask: Uint8Array): readonly Telegram[] {
  return telegrams.map((one) => ({ ...one, bits: masked(one.bits, mask) }));
}
