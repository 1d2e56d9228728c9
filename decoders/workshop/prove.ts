import { type AcceptedFrame, isAccepted } from "../frames/burstReading.ts";
import { type FramePlan, framePlan } from "../frames/frameChecks.ts";
import { VERIFIED_AT } from "../frames/odds.ts";
import { readLine } from "../frames/readLine.ts";
import type { Layout } from "../layouts/schema.ts";
import { checkWidth } from "../layouts/validate.ts";
import type { Caught } from "./caught.ts";
import type { Derivation, Derived } from "./derive.ts";
import { type FieldFinding, MOST_LN_CHANCE, rawAt } from "./fields.ts";
import type { Telegram } from "./frames.ts";
import { figuresBy, type GaugeReading } from "./gaugeLog.ts";
import { skippedBits } from "./layoutOf.ts";

/** A telegram that was kept aside, as the layout reads it. */
export interface Tested {
  readonly ids: readonly string[];
  readonly atSeconds: number;
  readonly verified: boolean;
  /** What stands in the bits that tell senders apart. */
  readonly identity: string | undefined;
  /** Figures of the log at its moment, and what the field says, in kPa and °C. */
  readonly figures: readonly { readonly quantity: string; readonly measured: number; readonly said: number }[];
}

export interface Proof {
  readonly tested: readonly Tested[];
  readonly hits: number;
  /** What stands in the way of calling it proved, in words; none: it is. */
  readonly doubts: readonly string[];
}

/** Fewer test frames do not make a layout. */
export const LEAST_TEST_FRAMES = 3;
const LEAST_SHARE = 0.9;
/** log2 of the chance that frames without that check agree with it all the same. */
const LEAST_BITS = 24;
/** Steps, and standard deviations, within which a field has to say what the gauge does. */
const STEPS = 1.6;
const SIGMAS = 4;
const QUANTITIES = ["pressure", "temperature"] as const;
const LEAST_READINGS = 5;
/** Scales further apart than this are not the same but for their digits. */
const SAME_SCALE = 0.01;
/** Nats by which other constants have to be behind, where they would say something else. */
const CLEAR = 2;

/**
 * Reads the telegrams that were kept aside with the layout, the way any burst is read, and looks whether it holds.
 *
 * @param caught The bursts that everything began with.
 */
export function prove(
  { derivation }: Derived,
  layout: Layout,
  caught: readonly Caught[],
  log: readonly GaugeReading[],
): Proof {
  const plan = framePlan(layout);
  const byId = new Map(caught.map((one) => [one.id, one]));
  const tested = derivation.aside.map((telegram): Tested => {
    const read = telegram.ids.map((id) => {
      const one = byId.get(id);
      return one && readCaught(one, plan);
    });
    const best = read.reduce(
      (one, other) => (chance(other) < chance(one) ? other : one),
      undefined as AcceptedFrame | undefined,
    );
    const frame = best ? asTable(best.reading.bits, derivation, telegram.bits) : undefined;
    return {
      ids: telegram.ids,
      atSeconds: telegram.atSeconds,
      verified: chance(best) <= VERIFIED_AT,
      identity: frame && identityIn(frame, derivation),
      figures: frame ? figuresOf(derivation.fields.fields, frame, telegram, log, derivation.fields) : [],
    };
  });
  const hits = tested.filter(({ verified }) => verified).length;
  const doubts: string[] = [];
  const bits = layout.checks.reduce((sum, check) => sum + checkWidth(check), 0);
  if (bits === 0)
    doubts.push(
      `${derivation.asked === "none" ? "It was said to have no check" : "No check was found"}, so that nothing it reads can be verified.`,
    );
  else if (hits < LEAST_TEST_FRAMES)
    doubts.push(`${hits} of ${tested.length} telegrams kept aside are read, ${LEAST_TEST_FRAMES} are needed.`);
  else if (hits < LEAST_SHARE * tested.length) {
    doubts.push(`${tested.length - hits} of ${tested.length} telegrams kept aside are not read.`);
  } else if (hits * bits < LEAST_BITS) {
    doubts.push(`${hits} telegrams with ${bits} check bits may agree by accident: more are needed.`);
  }
  doubts.push(...doubtsAboutIdentity(derivation, tested));
  if (!layout.fields.some(({ quantity }) => quantity === "pressure")) {
    doubts.push("Which bits are the pressure is not known: a gauge has to be read at some pressures.");
  }
  for (const field of derivation.fields.fields) doubts.push(...doubtsAbout(field, tested));
  for (const { name, quantity } of derivation.named) {
    const isFollowed = derivation.fields.fields.some((field) => field.quantity === quantity);
    if ((quantity === "pressure" || quantity === "temperature") && !isFollowed) {
      doubts.push(`The ${name} was named by hand, and no gauge was read that would tell whether it is right.`);
    }
  }
  for (const quantity of QUANTITIES) {
    const isMeasured =
      log.filter((one) => (quantity === "pressure" ? one.kPa : one.degC) !== undefined).length >= LEAST_READINGS;
    if (isMeasured && !derivation.fields.fields.some((field) => field.quantity === quantity))
      doubts.push(`No field follows the ${quantity} that was measured: it may not be sent, or not be seen yet.`);
  }
  return { tested, hits, doubts };
}

function chance(frame: AcceptedFrame | undefined): number {
  return frame?.falseAcceptProbability ?? Number.POSITIVE_INFINITY;
}

/** The likeliest frame of a layout in a burst, read as any burst is; `undefined` where none is accepted. */
export function readCaught(caught: Caught, plan: FramePlan): AcceptedFrame | undefined {
  const { accepted } = readLine(
    {
      type: "burst",
      sequence: 0,
      atSeconds: caught.atSeconds,
      carrierHz: caught.carrierHz,
      offsetHz: 0,
      modulation: caught.modulation,
      symbolRate: caught.symbolRate,
      symbols: caught.symbols,
      confidence: caught.evidence && Uint8Array.from(caught.evidence, (one) => Math.min(255, 16 * Math.abs(one))),
      rssiDbm: undefined,
      noiseDbm: undefined,
    },
    caught.atSeconds,
    [plan],
  );
  return accepted.find(({ reading, falseAcceptProbability }) => isAccepted(reading, falseAcceptProbability));
}

/** The layout's frame in the places of the derivation's frames, which may begin earlier and end later. */
function asTable(bits: Uint8Array, derivation: Derivation, own: Uint8Array): Uint8Array {
  const frame = own.slice();
  const first = skippedBits(derivation);
  frame.set(bits.subarray(0, own.length - first), first);
  return frame;
}

function figuresOf(
  fields: readonly FieldFinding[],
  frame: Uint8Array,
  telegram: Telegram,
  log: readonly GaugeReading[],
  { carrying, clockSeconds }: Derivation["fields"],
): Tested["figures"] {
  return fields.flatMap((field) => {
    const [constants] = field.constants;
    const measured = figuresBy(log, field.quantity, clockSeconds, carrying)(telegram);
    if (measured === undefined || !constants) return [];
    const said = constants.siScale * rawAt(frame, field) + constants.siOffset;
    return [{ quantity: field.quantity, measured, said }];
  });
}

/** A bit that changes in one telegram of ten stays the same through so many pairs in one case of twenty. */
const LEAST_PAIRS = 29;

function doubtsAboutIdentity(derivation: Derivation, tested: readonly Tested[]): string[] {
  const { senders, telegrams } = derivation;
  if (!senders || senders.count < 2) return ["No bits tell sensors apart: an identity cannot be told from constants."];
  const known = new Set(telegrams.map(({ bits }) => identityIn(bits, derivation)));
  const strange = tested.filter(({ verified, identity }) => verified && !known.has(identity)).length;
  const count = telegrams.length + tested.length;
  const doubts: string[] = [];
  if (strange > 0) {
    doubts.push(
      `${strange} telegrams kept aside name a sensor that the others do not: a bit may be no part of the identity.`,
    );
  }
  if (count - senders.count < LEAST_PAIRS) {
    doubts.push(
      `${senders.count} sensors were heard ${count} times: what changes seldom may pass for a part of the identity.`,
    );
  }
  return doubts;
}

function identityIn(bits: Uint8Array, { senders }: Derivation): string | undefined {
  return senders && bits.subarray(senders.at, senders.at + senders.bits).join("");
}

function doubtsAbout(
  { quantity, constants, rivals, fit, points, lnChance }: FieldFinding,
  tested: readonly Tested[],
): string[] {
  const doubts: string[] = [];
  const [best, ...others] = constants;
  if (!best) return [`No round scale and offset fit the ${quantity}.`];
  const figures = tested.flatMap((one) => one.figures.filter((figure) => figure.quantity === quantity));
  // Of the best line through the figures: constants that somebody told wrongly must not widen what is allowed them.
  const sigma = Math.sqrt(fit.residualSquares / Math.max(1, points - 2));
  const allowed = Math.max(STEPS * Math.abs(fit.slope), SIGMAS * sigma);
  const right = figures.filter(({ measured, said }) => Math.abs(measured - said) <= allowed).length;
  if (lnChance > MOST_LN_CHANCE) doubts.push(`The bits named ${quantity} hardly follow what was measured.`);
  if (figures.length < LEAST_TEST_FRAMES) {
    doubts.push(
      `The ${quantity} was measured for ${figures.length} of the telegrams kept aside, ${LEAST_TEST_FRAMES} are needed.`,
    );
  } else if (right < LEAST_SHARE * figures.length) {
    doubts.push(
      `The ${quantity} of ${figures.length - right} of ${figures.length} telegrams kept aside is not what was measured.`,
    );
  }
  if (rivals.length > 0) doubts.push(`Other bits fit the ${quantity} nearly as well.`);
  // Half of what was seen to either side of the middle.
  const spread = 2 * Math.sqrt(fit.sxx / Math.max(1, points));
  const near = others.filter(({ total }) => total < best.total + CLEAR);
  const apart = near.map(({ siScale, siOffset }) =>
    Math.max(
      ...[-spread, spread].map((dx) => {
        const raw = fit.meanX + dx;
        return Math.abs(siScale * raw + siOffset - best.siScale * raw - best.siOffset);
      }),
    ),
  );
  const isOther = ({ siScale }: (typeof near)[number]) => Math.abs(siScale / best.siScale - 1) > SAME_SCALE;
  if (apart.some((distance) => distance > Math.abs(best.siScale)) || near.some(isOther)) {
    doubts.push(`Other scales fit the ${quantity} nearly as well.`);
  }
  return doubts;
}
