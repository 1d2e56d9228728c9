import type { RungName } from "../../../decoders/records.ts";
import type { BurstBody } from "../../../server/http/wire.ts";
import { figure } from "../quantities.ts";
import { RUNG_QUESTIONS } from "../rungWords.ts";

export interface LadderStep {
  readonly rung: RungName;
  readonly question: string;
  readonly state: "passed" | "missed" | "not reached";
  /** The reason in one sentence; `undefined` where the rung was not reached. */
  readonly says: string | undefined;
  readonly measured: string | undefined;
  /** What it is held against, with the words for which way: `at least 6 dB`. */
  readonly needed: string | undefined;
  /** Only of a rung that was missed. */
  readonly nextStep: string | undefined;
}

/** The check ladder for reading: nine steps, in the order they are climbed. */
export function ladderSteps(rungs: BurstBody["rungs"]): LadderStep[] {
  return rungs.map(({ rung, passed, because, measured, needed, unit, nextStep }) => {
    const reached = passed !== null;
    return {
      rung,
      question: RUNG_QUESTIONS[rung],
      state: passed === null ? "not reached" : passed ? "passed" : "missed",
      says: reached ? because : undefined,
      measured: reached && measured !== null ? withUnit(measured, unit) : undefined,
      needed: reached && needed !== null ? `${relation(rung, unit)}${withUnit(needed, unit)}` : undefined,
      nextStep: passed === false && nextStep !== null ? nextStep : undefined,
    };
  });
}

/** How far it was climbed, in a sentence. */
export function ladderHeading(rungs: BurstBody["rungs"]): string {
  if (rungs.length === 0) return "There is no ladder";
  const missed = rungs.findIndex(({ passed }) => passed === false);
  const rung = rungs[missed];
  if (!rung) return "Climbed to the top";
  const questions = RUNG_QUESTIONS[rung.rung];
  return missed === 0
    ? `Stopped at the first rung: ${questions}`
    : `Climbed ${missed} of ${rungs.length}, then: ${questions}`;
}

/** Which way the two figures are held against each other; without an entry the second is what is asked for. */
const RELATIONS: Readonly<Record<string, string>> = {
  "receiver %": "at most ",
  "receiver steps": "at least ",
  "burst dB": "at least ",
  "band MHz": "within 0.1\u202fMHz of ",
  "symbols %": "at most ",
  "sync symbols": "almost none, of ",
  "sync symbols/s": "one of a layout, nearest ",
  "line-code bits": "at most ",
};

function relation(rung: RungName, unit: string | null): string {
  return RELATIONS[`${rung} ${unit ?? ""}`] ?? "";
}

function withUnit(value: number, unit: string | null): string {
  const text = Number.isInteger(value) ? figure(value, 0) : String(value).replace("-", "−");
  return unit === null ? text : `${text}\u202f${unit}`;
}
