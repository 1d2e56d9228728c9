import { crcOfBits } from "../checks/crc.ts";
import type { Check } from "../layouts/schema.ts";
import { degreeOf, divisorsOf, factorsOf, greatestDivisor, numberOf, rankOf, reduce, withoutPowersOfX } from "./gf2.ts";
import { bitsToName } from "./knownPolynomials.ts";
import { difference, differences, type Rows } from "./rows.ts";

type Crc = Extract<Check, { kind: "crc" }>;

/** A cyclic check that explains the frames. */
export interface CrcFinding {
  /** As a layout has it; its check value begins at `check.at`. With the octets of the value exchanged it is none. */
  readonly check: Crc;
  /** The value's octets go on air lowest first, which a layout cannot say. */
  readonly swapped: boolean;
  /** The first covered bit may be any from here to that of `check`: what lies between is constant. */
  readonly earliestStart: number;
  readonly latestStart: number;
  /** How many of the frames agree. */
  readonly agreeing: number;
  /** Independent differences between those. */
  readonly rank: number;
  /** -log2 of the chance that something of the kind is found in frames without a check. */
  readonly evidenceBits: number;
}

const LEAST_WIDTH = 3;
const MOST_WIDTH = 32;
/** Of the frames, this share has to agree; the others have a wrong bit. */
export const MOST_AGREE = 0.7;
/** Where most frames are in doubt; that it is no accident the evidence has to tell. */
export const FEW_AGREE = 0.2;
/** A chance of one in a million, after all trials. */
export const LEAST_EVIDENCE = 20;
/** Bits of a frame; in a longer one only the plain manner is tried. */
const MOST_TURNED = 168;
/** So sure that nothing else need be tried. */
const SURE_EVIDENCE = 60;

/** How the covered bits and the value are clocked in. */
interface Manner {
  readonly refin: boolean;
  readonly refout: boolean;
  readonly swapped: boolean;
}

const PLAIN: Manner = { refin: false, refout: false, swapped: false };
const MANNERS: readonly Manner[] = [
  { refin: true, refout: true, swapped: false },
  { refin: false, refout: true, swapped: false },
  { refin: true, refout: false, swapped: false },
  { refin: false, refout: false, swapped: true },
  { refin: true, refout: true, swapped: true },
];

/**
 * Cyclic checks of 3 to 32 bits: any polynomial, place, covered range and mirroring, the best first.
 *
 * The difference of two frames with the same initial and final constants is a multiple of the generator, so the greatest
 * common divisor of all differences is the generator as soon as a few of them are independent.
 *
 * @param free Bits in which the value may lie, 1 each.
 * @param trials Added to, so that chance is counted over everything that was tried.
 * @source Properties of cyclic codes, such as R. E. Blahut, Algebraic Codes for Data Transmission (from memory); the
 *   greatest common divisor of codewords as in arXiv 1210.7906.
 */
export function findCrcs(rows: Rows, free: Uint8Array, trials: { count: number }): readonly CrcFinding[] {
  if (rows.frames.length < 3) return [];
  const search = createSearch(rows, trials);
  const determined = createDetermined(rows);
  const found: CrcFinding[] = [];
  // A narrow check may be a factor of a wider one that has its bits mirrored.
  const best = () => Math.max(0, ...found.map(({ check, evidenceBits }) => (check.width < 8 ? 0 : evidenceBits)));
  for (const tried of rows.length > MOST_TURNED ? [plain] : [plain, turned, besides]) {
    found.push(...tried(rows, (at, width) => isFree(free, at, width) && determined(at, width), search));
    if (best() >= SURE_EVIDENCE) break;
  }
  return withoutTwins(found);
}

type Search = ReturnType<typeof createSearch>;
/** Whether a check value may lie there. */
type MayHold = (at: number, width: number) => boolean;

const WRONG_SHARE = 0.34;
/** Fewer frames beyond the rank tell too little. */
const LEAST_SPARE = 6;

/**
 * Where a check value may lie at all: all its bits move, and with enough frames they follow linearly from the others.
 * Few frames follow from anything; then only the ends of what moves are looked at.
 */
function createDetermined({ frames, length, moves, areDoubtful }: Rows): MayHold {
  const all = Int32Array.from({ length }, (_, i) => i);
  const whole = rankOf(differences(frames, all));
  const known = new Map<number, boolean>();
  const first = moves.indexOf(1);
  const last = moves.lastIndexOf(1) + 1;
  return (at, width) => {
    const key = 64 * at + width;
    const before = known.get(key);
    if (before !== undefined) return before;
    let is = !moves.subarray(at, at + width).includes(0);
    if (is) {
      const rest = rankOf(
        differences(
          frames,
          all.filter((i) => i < at || i >= at + width),
        ),
      );
      const tells = !areDoubtful && frames.length - 1 - rest >= LEAST_SPARE;
      // A frame with a wrong bit follows from nothing.
      is = tells
        ? whole - rest <= WRONG_SHARE * width
        : at === first || at + width === last || (width % 8 === 0 && at % 8 === 0);
    }
    known.set(key, is);
    return is;
  };
}

/**
 * Value behind all that it covers, nothing mirrored: its width comes out by itself. What covers most comes first, so that
 * the commonest case is found before much was tried.
 */
function plain({ length, moves }: Rows, mayHold: MayHold, search: Search): CrcFinding[] {
  const found: CrcFinding[] = [];
  for (let end = length; end > LEAST_WIDTH; end--) {
    if (moves[end - 1] === 0 || !mayHold(end - LEAST_WIDTH, LEAST_WIDTH)) continue;
    const order = Int32Array.from({ length: end }, (_, i) => i);
    for (let start = 0; start <= end - LEAST_WIDTH - 1; start++) {
      if (moves[start] === 0) continue;
      const divisor = search.divisor(order.subarray(start), LEAST_WIDTH);
      if (!divisor) continue;
      const at = end - divisor.width;
      if (at <= start || !mayHold(at, divisor.width)) continue;
      const finding = search.finding([[start, at - start]], at, divisor.width, PLAIN, divisor);
      if (finding) found.push(finding);
    }
  }
  return found;
}

/** The same with bytes or the value mirrored, or its octets exchanged: here the width has to be tried. */
function turned({ length, moves }: Rows, mayHold: MayHold, search: Search): CrcFinding[] {
  const found: CrcFinding[] = [];
  for (const manner of MANNERS) {
    for (let width = LEAST_WIDTH; width <= MOST_WIDTH; width++) {
      if (manner.swapped && (width % 8 !== 0 || width === 8)) continue;
      for (let at = 1; at + width <= length; at++) {
        if (!mayHold(at, width)) continue;
        const step = manner.refin ? 8 : 1;
        for (let start = at % step; start < at; start += step) {
          if (!startsAnew(moves, start, step)) continue;
          const covers: Covers = [[start, at - start]];
          const divisor = search.divisor(orderOf(covers, at, width, manner), width, width);
          const finding = divisor && search.finding(covers, at, width, manner, divisor);
          if (finding) found.push(finding);
        }
      }
    }
  }
  return found;
}

/** Value before or within what it covers. */
function besides({ length, moves }: Rows, mayHold: MayHold, search: Search): CrcFinding[] {
  const found: CrcFinding[] = [];
  const last = moves.lastIndexOf(1) + 1;
  for (const manner of [PLAIN, ...MANNERS.slice(0, 3)]) {
    for (let width = LEAST_WIDTH; width <= MOST_WIDTH; width++) {
      for (let at = 0; at + width < last; at++) {
        if (!mayHold(at, width)) continue;
        const step = manner.refin ? 8 : 1;
        for (let start = at % step; start <= at; start += step) {
          if (start < at && !startsAnew(moves, start, step)) continue;
          for (const end of endsBehind(at + width, last, length, step)) {
            const ahead: Covers = start < at ? [[start, at - start]] : [];
            const covers: Covers = [...ahead, [at + width, end - at - width]];
            if (manner.refin && covers.reduce((sum, [, count]) => sum + count, 0) % 8 !== 0) continue;
            const divisor = search.divisor(orderOf(covers, at, width, manner), width, width);
            const finding = divisor && search.finding(covers, at, width, manner, divisor);
            if (finding) found.push(finding);
          }
        }
      }
    }
  }
  return found;
}

type Covers = [number, number][];

/** Where what lies behind a check ends: constant bits that come last are clocked in too. */
function endsBehind(from: number, last: number, length: number, step: number): readonly number[] {
  const ends: number[] = [];
  for (let end = Math.max(last, from + 1); end <= length && end < last + MOST_TAIL; end++) {
    if ((end - from) % step === 0) ends.push(end);
  }
  return ends;
}

const MOST_TAIL = 33;

/** A later start would leave out other bits. */
function startsAnew(moves: Uint8Array, start: number, step: number): boolean {
  return moves.subarray(start, start + step).includes(1);
}

function isFree(free: Uint8Array, at: number, width: number): boolean {
  return !free.subarray(at, at + width).includes(0);
}

/** The bits as they are clocked in, the value as the register has it. */
function orderOf(covers: Covers, at: number, width: number, { refin, refout, swapped }: Manner): Int32Array {
  let count = 0;
  for (const [, some] of covers) count += some;
  const order = new Int32Array(count + width);
  let to = 0;
  for (const [first, some] of covers) for (let i = 0; i < some; i++) order[to++] = first + i;
  if (refin) for (let i = 0; i < count; i += 8) order.subarray(i, Math.min(count, i + 8)).reverse();
  for (let i = 0; i < width; i++) {
    const place = refout ? width - 1 - i : i;
    // Of exchanged octets the last one comes first.
    const bit = swapped ? width - 8 - 8 * (i >> 3) + (i & 7) : i;
    order[count + place] = at + bit;
  }
  return order;
}

function exchanged<T>(bits: readonly T[]): T[] {
  const octets: T[][] = [];
  for (let i = 0; i < bits.length; i += 8) octets.unshift(bits.slice(i, i + 8));
  return octets.flat();
}

interface Divisor {
  readonly words: Uint32Array;
  readonly width: number;
  readonly agreeing: readonly Uint8Array[];
  readonly rank: number;
}

function createSearch({ frames, length, moves, areDoubtful }: Rows, trials: { count: number }) {
  const samples = areDoubtful ? surestSamples(frames) : samplesOf(frames);
  const least = (areDoubtful ? FEW_AGREE : MOST_AGREE) * frames.length;
  const scratch = Array.from({ length: 2 }, () => new Uint32Array((length >>> 5) + 2));

  /** The divisor of a few differences; in most places it is 1 after two of them. */
  function screened(order: Int32Array, leastWidth: number, sample: readonly Uint8Array[]): Uint32Array | undefined {
    const words = (order.length >>> 5) + 1;
    const [a, b] = scratch.map((one) => one.subarray(0, words)) as [Uint32Array, Uint32Array];
    let common: { readonly words: Uint32Array; readonly degree: number } = {
      words: difference(sample[1]!, sample[0]!, order, a),
      degree: -1,
    };
    for (let i = 2; i < sample.length; i++) {
      const other = difference(sample[i]!, sample[0]!, order, common.words === a ? b : a);
      common = greatestDivisor(common.words, other);
      if (common.degree >= 0 && withoutPowersOfX(common.words) < leastWidth) return undefined;
    }
    return common.degree < 0 ? undefined : common.words.slice();
  }

  return {
    /** @param width Where it is known. */
    divisor(order: Int32Array, leastWidth: number, width?: number): Divisor | undefined {
      trials.count++;
      for (const sample of samples) {
        const words = screened(order, leastWidth, sample);
        if (!words) continue;
        const agreeing = agreeingWith(words, order, frames);
        if (agreeing.length < 3 || agreeing.length < least) continue;
        const all = differences(agreeing, order);
        let common: { readonly words: Uint32Array; readonly degree: number } = {
          words: all[0]!.slice(),
          degree: degreeOf(all[0]!),
        };
        for (const other of all.slice(1)) common = greatestDivisor(common.words, other.slice());
        const found = withoutPowersOfX(common.words);
        if (found < leastWidth) continue;
        const rank = rankOf(all);
        const exact = width ?? found;
        if (found === exact && exact <= MOST_WIDTH) return { words: common.words, width: exact, agreeing, rank };
        const part = onePart(common.words, width);
        if (part) return { ...part, agreeing, rank };
      }
      return undefined;
    },
    finding(covers: Covers, at: number, width: number, manner: Manner, divisor: Divisor): CrcFinding | undefined {
      const { agreeing, rank } = divisor;
      const poly = numberOf(divisor.words) ^ (1n << BigInt(width));
      if (poly === powerOfXPlus1(width)) return undefined;
      // What agrees could be chosen; the generator is fitted, or is one of those that are known.
      const chosen = log2Choose(frames.length, agreeing.length) + bitsToName(poly, width);
      const evidenceBits = width * rank - chosen - Math.log2(Math.max(1, trials.count));
      if (evidenceBits < LEAST_EVIDENCE) return undefined;
      const [first] = agreeing;
      const { check, earliest } = withConstants(covers, at, width, manner, poly, first!, moves);
      return {
        check,
        swapped: manner.swapped,
        earliestStart: earliest,
        latestStart: covers[0]![0],
        agreeing: agreeing.length,
        rank,
        evidenceBits,
      };
    },
  };
}

/**
 * (x + 1)^width without its highest power. Whatever is sent in pairs, such as a line code read at twice its rate, is a
 * multiple of it, and no cyclic check has it as its generator; an exclusive-or of words, x^n + 1, is looked for as that.
 *
 * @source E. Lucas, 1878: a binomial coefficient is odd where each bit of the one is in the other.
 */
function powerOfXPlus1(width: number): bigint {
  let poly = 0n;
  for (let k = 0; k < width; k++) if ((k & width) === k) poly |= 1n << BigInt(k);
  return poly;
}

/** A few frames from all over, and others for when one of those has a wrong bit. */
function samplesOf(frames: readonly Uint8Array[]): readonly (readonly Uint8Array[])[] {
  const size = Math.min(6, frames.length);
  const sets = Math.max(1, Math.min(3, Math.floor(frames.length / size)));
  return Array.from({ length: sets }, (_, set) =>
    Array.from({ length: size }, (_, i) => frames[(set + Math.floor((i * frames.length) / size)) % frames.length]!),
  );
}

const SUREST = 12;
const SMALL_SAMPLE = 4;
const STRIDES = [1, 2, 5];

/** Every few of the surest frames in another choice, of which one may well have no wrong bit. */
function surestSamples(frames: readonly Uint8Array[]): readonly (readonly Uint8Array[])[] {
  const surest = frames.slice(0, SUREST);
  if (surest.length < SUREST) return samplesOf(frames);
  return STRIDES.flatMap((stride) =>
    surest.map((_, set) => Array.from({ length: SMALL_SAMPLE }, (_, i) => surest[(set + i * stride) % SUREST]!)),
  );
}

/** The frames that leave the same remainder, of the remainder that most leave. */
function agreeingWith(divisor: Uint32Array, order: Int32Array, frames: readonly Uint8Array[]): readonly Uint8Array[] {
  const degree = degreeOf(divisor);
  const none = new Uint8Array(frames[0]!.length);
  const groups = new Map<string, Uint8Array[]>();
  const words = new Uint32Array((order.length >>> 5) + 1);
  for (const frame of frames) {
    reduce(difference(frame, none, order, words), order.length, divisor, degree);
    const key = words.join();
    const group = groups.get(key);
    if (group) group.push(frame);
    else groups.set(key, [frame]);
  }
  return [...groups.values()].reduce((most, group) => (group.length > most.length ? group : most));
}

/** Where differences share more than the generator: its only divisor of that width, if there is only one. */
function onePart(words: Uint32Array, width: number | undefined): Pick<Divisor, "words" | "width"> | undefined {
  if (width === undefined || degreeOf(words) > 64) return undefined;
  const parts = divisorsOf(factorsOf(numberOf(words)), width, width);
  if (parts.length !== 1) return undefined;
  const out = new Uint32Array(words.length);
  for (let j = 0; j < out.length; j++) out[j] = Number((parts[0]! >> BigInt(32 * j)) & 0xffffffffn);
  return { words: out, width };
}

/**
 * Initial and final constant cannot be told apart from frames of one length: any pair with the same sum does. Taken is a
 * pair of zeros and ones alone where there is one, with any of the starts that constant bits leave open; else no initial
 * value.
 */
function withConstants(
  covers: Covers,
  at: number,
  width: number,
  { refin, refout, swapped }: Manner,
  poly: bigint,
  frame: Uint8Array,
  moves: Uint8Array,
): { readonly check: Crc; readonly earliest: number } {
  const all = (1n << BigInt(width)) - 1n;
  const sentBits = Array.from(frame.subarray(at, at + width));
  const sent = (swapped ? exchanged(sentBits) : sentBits).reduce((value, bit) => (value << 1n) | BigInt(bit), 0n);
  const [[start, count], ...rest] = covers as [[number, number], ...Covers];
  const step = refin ? 8 : 1;
  let earliest = start;
  while (earliest - step >= 0 && start !== at && !moves.subarray(earliest - step, earliest).includes(1))
    earliest -= step;
  const made = (from: number, init: bigint) => {
    const its: Covers = [[from, count + start - from], ...rest];
    const bits = Uint8Array.from(its.flatMap(([first, some]) => Array.from(frame.subarray(first, first + some))));
    const value = crcOfBits({ width, poly, init, refin, refout, xorout: 0n }, bits);
    return { its, xorout: value ^ sent };
  };
  const crc = ({ its, xorout }: ReturnType<typeof made>, init: bigint): Crc => ({
    kind: "crc",
    width,
    poly: hex(poly, width),
    init: hex(init, width),
    refin,
    refout,
    xorout: hex(xorout, width),
    covers: its,
    at,
  });
  const plainOnes = [0n, all];
  for (let from = start; from >= earliest; from -= step) {
    // So many starts that one fits by accident tell nothing: of a narrow check only those at whole bytes.
    if (from < start && width < WIDE && (at - from) % 8 !== 0) continue;
    for (const init of plainOnes) {
      const tried = made(from, init);
      if (plainOnes.includes(tried.xorout)) return { check: crc(tried, init), earliest };
    }
  }
  return { check: crc(made(start, 0n), 0n), earliest };
}

const WIDE = 12;

function hex(value: bigint, width: number): string {
  return `0x${value.toString(16).padStart(Math.ceil(width / 4), "0")}`;
}

/** log2 of the number of ways to choose so many of so many. */
export function log2Choose(all: number, some: number): number {
  let sum = 0;
  for (let i = 1; i <= Math.min(some, all - some); i++) sum += Math.log2((all - i + 1) / i);
  return sum;
}

/** Of findings whose values share bits the one with most evidence; of equal ones the one that covers most. */
function withoutTwins(found: readonly CrcFinding[]): readonly CrcFinding[] {
  const covered = ({ check }: CrcFinding) => check.covers.reduce((sum, [, count]) => sum + count, 0);
  const sorted = [...found].sort(
    (a, b) => Math.round(b.evidenceBits - a.evidenceBits) || covered(b) - covered(a) || a.check.width - b.check.width,
  );
  const kept: CrcFinding[] = [];
  for (const one of sorted) {
    const { at, width } = one.check;
    if (kept.every(({ check }) => at + width <= check.at || check.at + check.width <= at)) kept.push(one);
  }
  return kept;
}
