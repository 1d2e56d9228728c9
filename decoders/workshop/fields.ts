import type { Field } from "../layouts/schema.ts";
import { lnCorrelationTail } from "../statistics/correlationTail.ts";
import { adjustedPValues } from "../statistics/falseDiscovery.ts";
import type { Telegram } from "./frames.ts";
import { type Carrying, figuresBy, type GaugeReading, type Quantity } from "./gaugeLog.ts";
import { heldBits } from "./heldBits.ts";
import { type Constants, constantsOf, type Fit, plausibleConstants } from "./plausible.ts";
import { movesOf } from "./rows.ts";

/** A stretch of bits read as a number. */
export interface Range {
  readonly at: number;
  readonly bits: number;
  readonly bitOrder: "msb-first" | "lsb-first";
  readonly signed: boolean;
}

/** A range that follows a gauge or a thermometer. */
export interface FieldFinding extends Range {
  readonly quantity: Quantity;
  readonly fit: Fit;
  /** The likeliest first. */
  readonly constants: readonly Constants[];
  /** Standard deviation of what the line leaves, in kPa or °C. */
  readonly residual: number;
  readonly correlation: number;
  /** ln of the chance of so good a fit by accident, of all ranges that were tried (Benjamini-Hochberg). */
  readonly lnChance: number;
  /** Figures that it was fitted to. */
  readonly points: number;
  /** Other ranges that fit nearly as well, and by how many nats they are behind. */
  readonly rivals: readonly (Range & { readonly behind: number })[];
}

export interface FieldSearch {
  readonly fields: readonly FieldFinding[];
  /** How far the log's clock is ahead of the bursts'. */
  readonly clockSeconds: number;
  readonly carrying: Carrying;
  /** ln of how much likelier the figures are with these fields than without any. */
  readonly gain: number;
  /** Ranges that were tried. */
  readonly tried: number;
}

/** Telegrams with the figures that belong to them. */
interface Points {
  readonly frames: readonly Uint8Array[];
  readonly figures: Float64Array;
  /** As `heldBits` has them. */
  readonly held: Float64Array;
}

const LEAST_BITS = 3;
const MOST_BITS = 14;
const LEAST_POINTS = 5;
const BIT_COST = 1.2;
const IDLE_COST = 0.05;
const SIGN_COST = 1;
/** ln: one in ten thousand, after all ranges. */
export const MOST_LN_CHANCE = Math.log(1e-4);
/** A range this many nats behind the best is not ruled out by the figures. */
const RIVAL = 3;
/** Clocks of a tablet and a receiver are seldom further apart; tried in steps. */
const CLOCK_SECONDS = 40;

/**
 * The ranges of bits that follow pressure and temperature.
 *
 * Each range of 5 to 16 bits is fitted by a straight line, in both bit orders, with and without sign. The one with the
 * smallest residual is the field: a bit too few leaves the steps of that bit, one too many the noise of another.
 *
 * @param taken Bits that are something else, 1 each.
 * @param named Fields that somebody named: those that follow a figure stand for what would have been looked for.
 */
export function findFields(
  telegrams: readonly Telegram[],
  log: readonly GaugeReading[],
  taken: Uint8Array,
  named: readonly Field[] = [],
): FieldSearch {
  const [first, second] = (["between", "nearest"] as const).map((carrying) =>
    withClock(telegrams, log, taken, carrying, named),
  );
  return second!.gain > first!.gain ? second! : first!;
}

function withClock(
  telegrams: readonly Telegram[],
  log: readonly GaugeReading[],
  taken: Uint8Array,
  carrying: Carrying,
  named: readonly Field[],
): FieldSearch {
  const { alone, ...plain } = search(telegrams, log, taken, carrying, 0, named);
  if (plain.fields.length === 0 || log.length < 3) return plain;
  // With a wrong clock one field may have swallowed bits of the other.
  const clockSeconds = bestClock(telegrams, log, { fields: alone, carrying });
  if (clockSeconds === 0) return plain;
  const { alone: _, ...moved } = search(telegrams, log, taken, carrying, clockSeconds, named);
  // A clock is one more number that was fitted.
  return moved.gain > plain.gain + Math.log(2 * CLOCK_SECONDS) ? moved : plain;
}

function search(
  telegrams: readonly Telegram[],
  log: readonly GaugeReading[],
  taken: Uint8Array,
  carrying: Carrying,
  clockSeconds: number,
  named: readonly Field[],
): FieldSearch & { readonly alone: readonly FieldFinding[] } {
  const blocked = taken.slice();
  const fields: FieldFinding[] = [];
  let gain = 0;
  let tried = 0;
  for (const field of named) {
    const found = namedFinding(field, telegrams, log, carrying, clockSeconds);
    if (!found) continue;
    fields.push(found.finding);
    gain += found.gain;
  }
  const candidates = (["pressure", "temperature"] as const)
    .filter((quantity) => !named.some((field) => field.quantity === quantity))
    .map((quantity) => ({ quantity, points: pointsOf(telegrams, log, quantity, carrying, clockSeconds) }))
    .filter(({ points }) => points.frames.length >= LEAST_POINTS && variance(points.figures) > 0);
  const followed = [...fields];
  // The surer of the two first, since a field cannot be both.
  const firsts = candidates.map((one) => ({ ...one, found: bestRange(one.points, one.quantity, blocked) }));
  firsts.sort((a, b) => (a.found.best?.lnChance ?? 0) - (b.found.best?.lnChance ?? 0));
  for (const { quantity, points, found } of firsts) {
    const again = fields.length === 0 ? found : bestRange(points, quantity, blocked);
    tried += again.tried;
    const { best } = again;
    if (!best || best.lnChance > MOST_LN_CHANCE) continue;
    fields.push(best);
    gain += again.gain;
    blocked.fill(1, best.at, best.at + best.bits);
  }
  const alone = [
    ...followed,
    ...firsts.flatMap(({ found: { best } }) => (best && best.lnChance <= MOST_LN_CHANCE ? [best] : [])),
  ];
  return { fields, clockSeconds, carrying, gain, tried, alone };
}

function pointsOf(
  telegrams: readonly Telegram[],
  log: readonly GaugeReading[],
  quantity: Quantity,
  carrying: Carrying,
  clockSeconds: number,
): Points {
  const figureOf = figuresBy(log, quantity, clockSeconds, carrying);
  const pairs = telegrams.flatMap((telegram) => {
    const figure = figureOf(telegram);
    return figure === undefined ? [] : [{ bits: telegram.bits, figure, atSeconds: telegram.atSeconds }];
  });
  const frames = pairs.map(({ bits }) => bits);
  return { frames, figures: Float64Array.from(pairs, ({ figure }) => figure), held: heldBits(pairs) };
}

/** How a field that somebody named follows the figures; `undefined` where there are none, or none that differ. */
function namedFinding(
  { at, bits, bitOrder = "msb-first", type, quantity, unit, scale, offset, reference }: Field,
  telegrams: readonly Telegram[],
  log: readonly GaugeReading[],
  carrying: Carrying,
  clockSeconds: number,
): { readonly finding: FieldFinding; readonly gain: number } | undefined {
  if (quantity !== "pressure" && quantity !== "temperature") return undefined;
  const range: Range = { at, bits, bitOrder, signed: type === "signed" };
  const { frames, figures } = pointsOf(telegrams, log, quantity, carrying, clockSeconds);
  if (frames.length < LEAST_NAMED) return undefined;
  const fitted = straight(
    Float64Array.from(frames, (frame) => rawAt(frame, range)),
    figures,
  );
  if (!fitted) return undefined;
  const { fit, correlation } = fitted;
  const own = constantsOf({ quantity, unit, scale, offset, reference });
  const squares = figures.reduce((sum, y) => sum + (y - fit.meanY) ** 2, 0);
  const left = frames.reduce((sum, frame, i) => {
    return sum + (own.siScale * rawAt(frame, range) + own.siOffset - figures[i]!) ** 2;
  }, 0);
  const floor = frames.length * (0.03 * fit.slope) ** 2;
  const finding: FieldFinding = {
    ...range,
    quantity,
    fit,
    constants: [own],
    residual: Math.sqrt(left / frames.length),
    correlation,
    lnChance: frames.length >= LEAST_POINTS ? lnCorrelationTail(correlation, frames.length) : 0,
    points: frames.length,
    rivals: [],
  };
  return { finding, gain: (frames.length / 2) * Math.log((squares + floor) / (fit.residualSquares + floor)) };
}

const LEAST_NAMED = 3;

interface Tried extends Range {
  /** Of its bits, how many never move. */
  readonly idle?: number;
  readonly fit: Fit;
  readonly correlation: number;
}

function bestRange(
  { frames, figures, held }: Points,
  quantity: Quantity,
  taken: Uint8Array,
): { readonly best: FieldFinding | undefined; readonly tried: number; readonly gain: number } {
  const moves = movesOf(frames);
  const all: Tried[] = [];
  forEachRange(frames, taken, moves, LEAST_BITS, MOST_BITS, (range, raw) => {
    const fitted = straight(raw, figures);
    if (fitted) all.push({ ...range, ...fitted });
  });
  const count = frames.length;
  // Every bit more doubles the ranges among which one fits by accident.
  const loss = ({ fit, at, bits, signed, idle = 0 }: Tried) =>
    (count / 2) * Math.log(fit.residualSquares + count * (0.03 * fit.slope) ** 2) +
    BIT_COST * (bits - idle) +
    IDLE_COST * idle +
    (signed ? SIGN_COST : 0) -
    held.subarray(at, at + bits).reduce((sum, nats, i) => sum + (moves[at + i] === 1 ? nats : 0), 0);
  const losses = new Map(all.map((one) => [one, loss(one)]));
  const lossOf = (one: Tried) => losses.get(one) ?? loss(one);
  const [closest] = all.sort((a, b) => lossOf(a) - lossOf(b));
  if (!closest) return { best: undefined, tried: 0, gain: 0 };
  const least = lossOf(closest);
  // Of ranges that fit about as well, the one whose numbers somebody would have chosen.
  const likely = all
    .filter((one, i) => i < MOST_LIKELY && lossOf(one) < least + STILL_LIKELY)
    .flatMap((one) => [one, ...extended(one, frames, figures, taken, moves)])
    .map((one) => ({ one, constants: plausibleConstants(one.fit, quantity) }))
    .map(({ one, constants }) => ({
      one,
      constants,
      total: lossOf(one) + (constants[0] ? constants[0].total + spanCost(one, constants[0], quantity) : DEAR),
    }))
    .sort((a, b) => a.total - b.total);
  const [{ one: best, constants, total: cheapest }] = likely as [(typeof likely)[number]];
  const lnTails = all.map(({ correlation }) => lnCorrelationTail(correlation, count));
  // Below what a number can hold, the best of m has m times its chance.
  const lnBest = lnTails[0]!;
  const lnChance = lnBest > -600 ? Math.log(adjustedPValues(lnTails.map(Math.exp))[0]!) : lnBest + Math.log(all.length);
  const squares = figures.reduce((sum, y) => sum + (y - best.fit.meanY) ** 2, 0);
  const rivals = likely
    .filter(({ one, total }) => total < cheapest + RIVAL && !isSameNumbers(one, best, moves))
    .map(({ one, total }) => ({ ...rangeOf(one), behind: total - cheapest }));
  return {
    tried: all.length,
    gain:
      (count / 2) * Math.log(squares / (best.fit.residualSquares + floorOf(best, count))) -
      Math.log(all.length) -
      (constants[0]?.total ?? DEAR),
    best: {
      ...rangeOf(best),
      quantity,
      fit: best.fit,
      constants,
      residual: Math.sqrt(best.fit.residualSquares / Math.max(1, count - 2)),
      correlation: best.correlation,
      lnChance,
      points: count,
      rivals,
    },
  };
}

const MOST_LIKELY = 30;
/** Nats: how much worse than the best a range may fit to be looked at for its constants. */
const STILL_LIKELY = 8;
/** Where no constants fit at all. */
const DEAR = 30;
const MOST_EXTENDED = 6;

/** What a field should be able to say, in kPa and °C: common practice, no source. */
const SPANS = { pressure: [0, 400], temperature: [-20, 80] } as const;
const SPAN_COST = 2;

/** Nats for a field that could not say what a tyre may have. */
function spanCost({ bits, signed }: Range, { siScale, siOffset }: Constants, quantity: Quantity): number {
  const lowest = signed ? -(2 ** (bits - 1)) : 0;
  const ends = [lowest, lowest + 2 ** bits - 1].map((raw) => siScale * raw + siOffset);
  const [least, most] = SPANS[quantity];
  return SPAN_COST * (Number(Math.min(...ends) > least + 5) + Number(Math.max(...ends) < most));
}

function rangeOf({ at, bits, bitOrder, signed }: Range): Range {
  return { at, bits, bitOrder, signed };
}

/** The range with constant bits above its highest one: the same figures, perhaps from rounder numbers. */
function extended(
  { at, bits, bitOrder }: Tried,
  frames: readonly Uint8Array[],
  figures: Float64Array,
  taken: Uint8Array,
  moves: Uint8Array,
): Tried[] {
  const found: Tried[] = [];
  const raw = new Float64Array(frames.length);
  for (let more = 1; more <= MOST_EXTENDED; more++) {
    const bit = bitOrder === "msb-first" ? at - more : at + bits + more - 1;
    if (bit < 0 || bit >= moves.length || moves[bit] === 1 || taken[bit] === 1) break;
    for (const signed of [false, true]) {
      const wider = { at: bitOrder === "msb-first" ? bit : at, bits: bits + more, bitOrder, signed };
      for (const [i, frame] of frames.entries()) raw[i] = rawAt(frame, wider);
      const fitted = straight(raw, figures);
      if (fitted) found.push({ ...wider, ...fitted, idle: more });
    }
  }
  return found;
}

/** A residual below a hundredth of a step says nothing more. */
function floorOf({ fit }: Tried, count: number): number {
  return count * (0.03 * fit.slope) ** 2;
}

/** Whether two ranges differ in nothing but sign and bits that never move. */
function isSameNumbers(a: Range, b: Range, moves: Uint8Array): boolean {
  const moving = ({ at, bits, bitOrder }: Range) =>
    `${bitOrder} ${Array.from({ length: bits }, (_, i) => at + i).filter((bit) => moves[bit] === 1)}`;
  return moving(a) === moving(b);
}

/**
 * Every range whose first and last bit move, with what it holds in each frame; the numbers are written over for the next.
 */
function forEachRange(
  frames: readonly Uint8Array[],
  taken: Uint8Array,
  moves: Uint8Array,
  least: number,
  most: number,
  look: (range: Range, raw: Float64Array) => void,
): void {
  const count = frames.length;
  const up = new Float64Array(count); // the first bit is the highest
  const down = new Float64Array(count); // the first bit is the lowest
  const raw = new Float64Array(count);
  for (let at = 0; at < moves.length; at++) {
    if (moves[at] === 0) continue;
    up.fill(0);
    down.fill(0);
    for (let bits = 1; bits <= most && at + bits <= moves.length; bits++) {
      const last = at + bits - 1;
      if (taken[last] === 1) break;
      const weight = 2 ** (bits - 1);
      for (let i = 0; i < count; i++) {
        const bit = frames[i]![last]!;
        up[i] = 2 * up[i]! + bit;
        if (bit === 1) down[i]! += weight;
      }
      if (bits < least || moves[last] === 0) continue; // else the same numbers as without that bit
      const top = 2 * weight;
      look({ at, bits, bitOrder: "msb-first", signed: false }, up);
      look({ at, bits, bitOrder: "lsb-first", signed: false }, down);
      for (let i = 0; i < count; i++) raw[i] = up[i]! >= weight ? up[i]! - top : up[i]!;
      look({ at, bits, bitOrder: "msb-first", signed: true }, raw);
      for (let i = 0; i < count; i++) raw[i] = down[i]! >= weight ? down[i]! - top : down[i]!;
      look({ at, bits, bitOrder: "lsb-first", signed: true }, raw);
    }
  }
}

function variance(values: Float64Array): number {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
}

export function straight(x: Float64Array, y: Float64Array): Pick<Tried, "fit" | "correlation"> | undefined {
  const count = x.length;
  let meanX = 0;
  let meanY = 0;
  for (let i = 0; i < count; i++) {
    meanX += x[i]!;
    meanY += y[i]!;
  }
  meanX /= count;
  meanY /= count;
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (let i = 0; i < count; i++) {
    const dx = x[i]! - meanX;
    const dy = y[i]! - meanY;
    sxx += dx * dx;
    sxy += dx * dy;
    syy += dy * dy;
  }
  if (sxx === 0 || syy === 0) return undefined;
  const slope = sxy / sxx;
  const residualSquares = Math.max(0, syy - slope * sxy);
  const slopeSigma = Math.sqrt(residualSquares / Math.max(1, count - 2) / sxx);
  const correlation = sxy / Math.sqrt(sxx * syy);
  return { fit: { slope, slopeSigma, meanX, meanY, count, residualSquares, sxx }, correlation };
}

/**
 * Nats by which the best ranges of usual widths speak for these frames: less than `findFields` finds, and much sooner.
 *
 * @param search Tells how the log is carried to the telegrams.
 */
export function quickGain(
  telegrams: readonly Telegram[],
  log: readonly GaugeReading[],
  taken: Uint8Array,
  { carrying, clockSeconds }: Pick<FieldSearch, "carrying" | "clockSeconds">,
): number {
  let gain = 0;
  for (const quantity of ["pressure", "temperature"] as const) {
    const { frames, figures } = pointsOf(telegrams, log, quantity, carrying, clockSeconds);
    if (frames.length < LEAST_POINTS || variance(figures) === 0) continue;
    const moves = movesOf(frames);
    let best = 0;
    forEachRange(frames, taken, moves, QUICK_LEAST, QUICK_MOST, (_, raw) => {
      const fitted = straight(raw, figures);
      if (fitted) best = Math.max(best, fitted.correlation ** 2);
    });
    gain -= (frames.length / 2) * Math.log(1 - Math.min(best, 1 - 1e-6));
  }
  return gain;
}

const QUICK_LEAST = 4;
const QUICK_MOST = 11;

/** The shift of clocks with which what was found fits best. */
function bestClock(
  telegrams: readonly Telegram[],
  log: readonly GaugeReading[],
  found: Pick<FieldSearch, "fields" | "carrying">,
): number {
  const lossAt = (clockSeconds: number) =>
    found.fields.reduce((sum, field) => {
      const { frames, figures } = pointsOf(telegrams, log, field.quantity, found.carrying, clockSeconds);
      const fit = straight(
        Float64Array.from(frames, (frame) => rawAt(frame, field)),
        figures,
      );
      // Fewer points must not win by being fewer.
      if (!fit || frames.length < 0.9 * field.points) return Number.POSITIVE_INFINITY;
      return sum + (field.points / 2) * Math.log(fit.fit.residualSquares / frames.length + (0.03 * fit.fit.slope) ** 2);
    }, 0);
  let best = 0;
  let least = lossAt(0);
  for (const step of [2, 0.5, 0.1]) {
    const middle = best;
    const reach = step === 2 ? CLOCK_SECONDS : 4 * step;
    for (let at = middle - reach; at <= middle + reach; at += step) {
      const loss = lossAt(at);
      if (loss >= least) continue;
      least = loss;
      best = at;
    }
  }
  return Math.round(10 * best) / 10;
}

/** The number that a range holds. */
export function rawAt(frame: Uint8Array, { at, bits, bitOrder, signed }: Range): number {
  let value = 0;
  if (bitOrder === "msb-first") for (let i = 0; i < bits; i++) value = 2 * value + frame[at + i]!;
  else for (let i = bits - 1; i >= 0; i--) value = 2 * value + frame[at + i]!;
  return signed && value >= 2 ** (bits - 1) ? value - 2 ** bits : value;
}
