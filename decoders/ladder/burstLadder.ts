import { type AcceptedFrame, type Attempt, type BurstReading, isStart } from "../frames/burstReading.ts";
import { fieldValues, implausibleFields } from "../frames/fields.ts";
import type { FramePlan } from "../frames/frameChecks.ts";
import { VERIFIED_AT } from "../frames/odds.ts";
import { checkFigures, type FrameReading } from "../frames/readFrame.ts";
import type { LineCodeName } from "../layouts/schema.ts";
import type { Rung } from "../records.ts";
import { ladderOf, rungOf } from "./rungs.ts";

const CLIPPED_ALLOWED_PERCENT = 5;
const NEEDED_SNR_DB = 6;
const JITTER_ALLOWED_PERCENT = 15;
/** More broken bits than this share mean another code or another sender, not noise. */
const BROKEN_ALLOWED = 0.1;

/** Climbs the ladder for one burst. Stops at the first miss, but for a telegram, which has them all. */
export function burstLadder(reading: BurstReading): { rungs: Rung[]; layout: string | undefined } {
  const accepted = [...reading.accepted].sort((a, b) => a.falseAcceptProbability - b.falseAcceptProbability)[0];
  if (accepted) return { rungs: telegramLadder(reading, accepted), layout: accepted.reading.plan.layout.id };
  const climbed: Rung[] = [];
  const attempt = furthest(reading.attempts);
  for (const climb of [receiverRung, burstRung, bandRung, symbolsRung]) {
    const rung = climb(reading, attempt);
    climbed.push(rung);
    if (!rung.passed) return { rungs: ladderOf(climbed), layout: undefined };
  }
  for (const climb of [syncRung, lineCodeRung, lengthRung, checkRung]) {
    const rung = climb(reading, attempt);
    climbed.push(rung);
    if (!rung.passed) break;
  }
  return { rungs: ladderOf(climbed), layout: attempt?.plan.layout.id };
}

function telegramLadder(reading: BurstReading, frame: AcceptedFrame): Rung[] {
  const { plan } = frame.reading;
  const attempt: Attempt = { plan, correlation: 1, syncErrors: 0, reading: frame.reading };
  const given = reading.attempts.find((other) => other.reading === frame.reading) ?? attempt;
  return ladderOf([
    inputRung(reading),
    strengthRung(reading),
    bandRung(reading),
    steadyRung(reading),
    rungOf("start-known", {
      measured: given.syncErrors,
      needed: plan.layout.sync.symbols.length,
      words: { layout: plan.layout.id },
    }),
    rungOf("code-obeyed", {
      measured: frame.reading.brokenAt.length,
      words: { code: CODE_WORDS[plan.layout.lineCode] },
    }),
    rungOf("length-fits", { measured: plan.layout.bits, needed: plan.layout.bits }),
    agreedRung(frame),
    valuesRung(plan, frame.reading),
  ]);
}

/** The try that climbed highest; of equals the one whose start fitted best. */
function furthest(attempts: readonly Attempt[]): Attempt | undefined {
  const height = (attempt: Attempt) => {
    if (!startFound(attempt)) return 0;
    const { reading } = attempt;
    if (!reading || codeBroken(reading)) return 1;
    return tooShort(reading) ? 2 : 3;
  };
  return [...attempts].sort((a, b) => height(b) - height(a) || b.correlation - a.correlation)[0];
}

function inputRung(reading: BurstReading): Rung {
  const { clippedShare } = reading.figures;
  if (clippedShare === undefined) return rungOf("input-unknown");
  const measured = rounded(100 * clippedShare, 1);
  const loud = measured > CLIPPED_ALLOWED_PERCENT;
  return rungOf(loud ? "input-loud" : "input-clean", { measured, needed: CLIPPED_ALLOWED_PERCENT });
}

function receiverRung(reading: BurstReading): Rung {
  const percent = rounded(100 * (reading.figures.clippedShare ?? 0), 1);
  if (percent <= CLIPPED_ALLOWED_PERCENT) return inputRung(reading);
  return rungOf("input-overloaded", { measured: percent, needed: CLIPPED_ALLOWED_PERCENT });
}

function strengthRung(reading: BurstReading): Rung {
  const { snrDb } = reading.figures;
  if (snrDb === undefined) return rungOf("burst-told");
  return rungOf("burst-strong", { measured: rounded(snrDb, 1), needed: NEEDED_SNR_DB });
}

function burstRung(reading: BurstReading, attempt: Attempt | undefined): Rung {
  const { snrDb, jitter } = reading.figures;
  const steady = (jitter ?? 1) <= JITTER_ALLOWED_PERCENT / 100 || (attempt !== undefined && startFound(attempt));
  // What can be cut into symbols was strong enough, whatever the figure.
  if (snrDb === undefined || snrDb >= NEEDED_SNR_DB || steady) return strengthRung(reading);
  return rungOf("burst-weak", { measured: rounded(snrDb, 1), needed: NEEDED_SNR_DB });
}

function bandRung(reading: BurstReading): Rung {
  const { carrierHz, carrierKnown } = reading.figures;
  if (!carrierKnown) return rungOf("band-unknown");
  const nominal = nearest(
    reading.inBand.flatMap((plan) => plan.layout.carrierHz),
    carrierHz,
  );
  if (nominal === undefined) {
    const shelf = nearest(reading.shelfHz, carrierHz);
    return rungOf("band-strange", { measured: megahertz(carrierHz), needed: megahertz(shelf ?? 0) });
  }
  return rungOf("band-known", {
    measured: megahertz(carrierHz),
    needed: megahertz(nominal),
    words: { distance: rounded(Math.abs(carrierHz - nominal) / 1000, 1) },
  });
}

function steadyRung(reading: BurstReading): Rung {
  const { jitter, symbols, overlapFromSeconds } = reading.figures;
  if (overlapFromSeconds !== undefined) return rungOf("second-sender", { measured: milliseconds(overlapFromSeconds) });
  if (jitter === undefined) return rungOf("symbols-told", { measured: symbols?.length ?? 0 });
  return rungOf("symbols-steady", { measured: rounded(100 * jitter, 1), needed: JITTER_ALLOWED_PERCENT });
}

function symbolsRung(reading: BurstReading, attempt: Attempt | undefined): Rung {
  const { modulation, symbols, jitter, clippedShare, overlapFromSeconds } = reading.figures;
  if (modulation === undefined) return rungOf("carrier-unkeyed");
  if (overlapFromSeconds !== undefined) return rungOf("two-senders", { measured: milliseconds(overlapFromSeconds) });
  if (attempt && startFound(attempt)) return steadyRung(reading);
  if (symbols === undefined) return rungOf("symbols-none");
  if (clippedShare === undefined || jitter === undefined) return steadyRung(reading);
  const percent = rounded(100 * jitter, 1);
  if (percent <= JITTER_ALLOWED_PERCENT) return steadyRung(reading);
  return rungOf("symbols-unsteady", { measured: percent, needed: JITTER_ALLOWED_PERCENT });
}

function syncRung(reading: BurstReading, attempt: Attempt | undefined): Rung {
  if (!attempt) return keyedOtherwise(reading);
  const measured = attempt.syncErrors;
  const needed = attempt.plan.layout.sync.symbols.length;
  const words = { layout: attempt.plan.layout.id };
  return rungOf(startFound(attempt) ? "start-known" : "start-unknown", { measured, needed, words });
}

function keyedOtherwise(reading: BurstReading): Rung {
  const rate = reading.figures.symbolRate ?? 0;
  const plan = [...reading.inBand].sort(
    (a, b) => Math.abs(a.layout.symbolRate - rate) - Math.abs(b.layout.symbolRate - rate),
  )[0];
  return rungOf("keyed-otherwise", {
    measured: Math.round(rate),
    needed: Math.round(plan?.layout.symbolRate ?? 0),
    words: {
      modulation: reading.figures.modulation?.toUpperCase() ?? "",
      layout: plan ? `${plan.layout.id} (${plan.layout.modulation.toUpperCase()})` : "none",
    },
  });
}

function lineCodeRung(_: BurstReading, attempt: Attempt | undefined): Rung {
  const reading = readingOf(attempt);
  const code = CODE_WORDS[reading.plan.layout.lineCode];
  const needed = Math.floor(BROKEN_ALLOWED * reading.plan.layout.bits);
  const measured = reading.brokenAt.length;
  if (!codeBroken(reading)) return rungOf("code-obeyed", { measured, words: { code } });
  return rungOf("code-broken", { measured, needed, words: { code, first: reading.brokenAt[0] ?? 0 } });
}

function lengthRung(burst: BurstReading, attempt: Attempt | undefined): Rung {
  const reading = readingOf(attempt);
  const needed = reading.plan.layout.bits;
  if (!tooShort(reading)) return rungOf("length-fits", { measured: reading.bitsInside, needed });
  return rungOf(burst.figures.cutByEnd ? "length-cut" : "length-short", { measured: reading.bitsInside, needed });
}

function checkRung(_: BurstReading, attempt: Attempt | undefined): Rung {
  const reading = readingOf(attempt);
  const layout = reading.plan.layout.id;
  if (reading.constantErrors > 0)
    return rungOf("constant-differs", { measured: reading.constantErrors, words: { layout } });
  const failed = reading.failedChecks[0];
  if (failed === undefined) return rungOf("check-chance");
  const figures = checkFigures(reading, failed);
  if (!reading.guess) return rungOf("check-differs", { words: figures });
  const { turnedAt, falseAcceptProbability } = reading.guess;
  const words = { ...figures, places: turnedAt.join(", "), chance: chanceWords(falseAcceptProbability) };
  return rungOf("check-guessed", { words });
}

function agreedRung(frame: AcceptedFrame): Rung {
  const words = { chance: chanceWords(frame.falseAcceptProbability) };
  const { plan, repairedBits } = frame.reading;
  if (plan.layout.checks.length === 0) return rungOf("check-none");
  if (frame.copies !== undefined) return rungOf("check-combined", { measured: frame.copies, words });
  if (repairedBits > 0) return rungOf("check-repaired", { measured: repairedBits, words });
  return rungOf(frame.falseAcceptProbability <= VERIFIED_AT ? "check-agrees" : "check-unsure", { words });
}

function valuesRung(plan: FramePlan, reading: FrameReading): Rung {
  const values = fieldValues(plan.layout, reading.bits);
  const name = implausibleFields(values)[0];
  const field = plan.layout.fields.find((other) => other.name === name);
  const value = name === undefined ? undefined : values[name]?.value;
  if (!field || typeof value !== "number") return rungOf("values-plausible");
  const [low, high] = field.plausible ?? [Number.NaN, Number.NaN];
  const unit = field.unit ?? "";
  return rungOf("value-implausible", { measured: value, unit, words: { field: field.name, low, high } });
}

function startFound(attempt: Attempt): boolean {
  return attempt.reading !== undefined && isStart(attempt.plan, attempt.syncErrors);
}

function codeBroken(reading: FrameReading): boolean {
  return reading.brokenAt.length > BROKEN_ALLOWED * reading.bitsInside && reading.brokenAt.length > 1;
}

function tooShort(reading: FrameReading): boolean {
  return reading.bitsInside < reading.plan.layout.bits - 1;
}

function readingOf(attempt: Attempt | undefined): FrameReading {
  if (!attempt?.reading) throw new RangeError("a rung above the known start needs a frame");
  return attempt.reading;
}

function nearest(candidates: readonly number[], hz: number): number | undefined {
  return [...candidates].sort((a, b) => Math.abs(a - hz) - Math.abs(b - hz))[0];
}

function megahertz(hz: number): number {
  return rounded(hz / 1e6, 3);
}

function milliseconds(seconds: number): number {
  return rounded(1000 * seconds, 2);
}

function rounded(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}

/** A chance in words: "1 in 12000". */
function chanceWords(probability: number): string {
  if (probability >= 0.095) return `${Math.round(100 * probability)} %`;
  const one = Number((1 / Math.max(probability, 1e-15)).toPrecision(2));
  return `1 in ${BigInt(Math.round(one))}`;
}

/** Line codes as people say them. */
const CODE_WORDS: Record<LineCodeName, string> = {
  nrz: "plain level code",
  nrzi: "change-of-level code",
  "manchester-ieee": "Manchester",
  "manchester-thomas": "Manchester (Thomas)",
  "differential-manchester": "differential Manchester",
  "biphase-mark": "biphase mark",
  "biphase-space": "biphase space",
  pulse: "pulse code",
};
