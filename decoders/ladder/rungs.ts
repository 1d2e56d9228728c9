import { RUNGS, type Rung, type RungName } from "../records.ts";
import { REASONS, type Reason, type ReasonCode } from "./reasons.ts";

/** The numbers and words of one rung. */
export interface RungFigures {
  readonly measured?: number;
  readonly needed?: number;
  readonly unit?: string;
  /** What the sentence has places for, besides `measured` and `needed`. */
  readonly words?: Readonly<Record<string, string | number>>;
}

/** One rung of a ladder, its sentence filled in. */
export function rungOf(code: ReasonCode, figures: RungFigures = {}): Rung {
  const reason: Reason = REASONS[code];
  const unit = figures.unit ?? reason.unit;
  const words: Record<string, string | number> = { ...figures.words };
  if (figures.measured !== undefined) words["measured"] ??= figures.measured;
  if (figures.needed !== undefined) words["needed"] ??= figures.needed;
  if (unit !== null) words["unit"] ??= unit;
  return {
    rung: reason.rung,
    passed: reason.passed,
    reason: code,
    because: filled(reason.sentence, words),
    measured: figures.measured ?? null,
    needed: figures.needed ?? null,
    unit: figures.measured === undefined && figures.needed === undefined ? null : unit,
    nextStep: reason.nextStep === null ? null : filled(reason.nextStep, words),
  };
}

/** A whole ladder from the rungs climbed; those above are not reached. */
export function ladderOf(climbed: readonly Rung[]): Rung[] {
  return RUNGS.map((name) => climbed.find((rung) => rung.rung === name) ?? rungOf(`${name}-not-reached`));
}

/** The first missed rung, if any. */
export function firstMissed(rungs: readonly Rung[]): RungName | undefined {
  return rungs.find((rung) => rung.passed === false)?.rung;
}

function filled(sentence: string, words: Readonly<Record<string, string | number>>): string {
  return sentence.replace(/\{(\w+)\}/g, (_, name: string) => {
    const word = words[name];
    if (word === undefined) throw new RangeError(`the sentence "${sentence}" wants ${name}`);
    return String(word);
  });
}
