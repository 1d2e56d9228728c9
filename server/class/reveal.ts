import type { Rung } from "../../decoders/records.ts";
import { statedAnswer } from "./answer/judge.ts";
import { writtenUnit } from "./answer/units.ts";
import type { Values } from "./drawn.ts";
import type { Answer } from "./exercise.ts";
import type { Drawn } from "./material.ts";
import type { AirPicture } from "./recorded.ts";
import { filled } from "./texts.ts";

/** What is told once an exercise is over: the answer, why, and the check ladder on the recording itself. */
export interface Reveal {
  readonly answer: string;
  readonly says: string;
  /** Whose ladder it is, in words; `null` where nothing was recorded. */
  readonly ladderOf: string | null;
  /** From the bottom up. */
  readonly ladder: readonly Rung[];
  readonly picture: AirPicture | null;
  /** Of a drawn car: the causes that the diagnosis holds most probable. */
  readonly ranked: readonly {
    readonly words: string;
    readonly probability: number;
    readonly reasons: readonly { readonly words: string; readonly weight: number }[];
  }[];
  readonly sources: readonly string[];
}

const MOST_RANKED = 4;
const MOST_REASONS = 5;

/** @param picture Of the burst whose ladder is walked. */
export function revealOf(drawn: Drawn, picture: AirPicture | undefined): Reveal {
  const { exercise, values, recorded, car } = drawn;
  const burst = recorded?.bursts.find(({ index }) => index === (exercise.walks ?? 0));
  const isBurst = exercise.walks !== undefined && burst !== undefined;
  return {
    answer: answerWords(exercise.answer, values),
    says: filled(exercise.reveal, values),
    ladderOf: !recorded ? null : isBurst ? `burst ${burst.index + 1} of the recording` : "the whole recording",
    ladder: !recorded ? [] : isBurst ? burst.rungs : recorded.summary.rungs,
    picture: picture ?? null,
    ranked: (car?.ranked ?? []).slice(0, MOST_RANKED).map(({ cause, probability, reasons }) => ({
      words: cause.words,
      probability,
      reasons: reasons.slice(0, MOST_REASONS),
    })),
    sources: exercise.sources,
  };
}

function answerWords(answer: Answer, values: Values): string {
  const is = statedAnswer(answer, values);
  switch (answer.kind) {
    case "quantity": {
      const unit = answer.unit === "1" ? "" : ` ${writtenUnit(answer.unit)}`;
      const decimals = Math.min(9, Math.max(0, Math.ceil(1 - Math.log10(answer.tolerance))));
      const value = `${Number(Number(is).toFixed(decimals))}${unit}`.replace(/^-/, "\u2212");
      // What is counted is right or not: there is no tolerance to tell.
      const isCount = answer.unit === "1" && Number.isInteger(is) && answer.tolerance < 0.5;
      return isCount ? value : `${value}, ± ${answer.tolerance}${unit} taken as right`;
    }
    case "choice":
    case "choices":
    case "order": {
      const ids = typeof is === "object" ? is : [String(is)];
      const words = ids.map((id) => answer.options.find((option) => option.id === id)?.words ?? id);
      return words.map((one) => filled(one, values)).join(answer.kind === "order" ? ", then " : "; ");
    }
    default:
      return String(is);
  }
}
