import type {
  Outcome,
  Reached,
  StudyHeadBody,
  StudyInputBody,
  StudyInputState,
} from "../../../server/http/wire/studies.ts";
import type { WheelLineBody } from "../../../server/http/wire.ts";
import { counted, listed } from "../quantities.ts";
import { percentWords, restWords } from "../recording/restWords.ts";
import { RUNG_QUESTIONS } from "../rungWords.ts";

type Counts = StudyHeadBody["counts"];

/** What a study is at, in a sentence. */
export function standingWords({ state, because, counts, share, restSeconds }: StudyHeadBody): string {
  switch (state) {
    case "registering":
      return `Reading the files to know them by their samples, ${percentWords(share)} done${restWords(restSeconds)}.`;
    case "running":
      return `Decoding, ${percentWords(share)} done${restWords(restSeconds)}.`;
    case "stopping":
      return "Stopping. What is done is kept.";
    case "stopped":
      return counts.total === 0
        ? "Stopped before its files were read."
        : `Stopped. ${counted(counts.done, "input")} ${counts.done === 1 ? "is" : "are"} done and kept, ${counts.waiting + counts.running} still wait.`;
    case "failed":
      return `It could not go on: ${because ?? "nobody knows why"}`;
    case "done":
      return doneWords(counts);
  }
}

/** `400 inputs: 396 done, 1 failed, 3 skipped.` */
export function doneWords(counts: Counts): string {
  return `${counted(counts.total, "input")}: ${countsWords(counts)}.`;
}

/** Every state that some input is in; together they are all of them. */
export function countsWords(counts: Counts): string {
  const some = STATE_ORDER.filter((state) => counts[state] > 0).map((state) => `${counts[state]} ${state}`);
  return some.length === 0 ? "none" : listed(some);
}

/** In the order in which an input goes through them. */
export const STATE_ORDER: readonly StudyInputState[] = ["done", "running", "waiting", "failed", "skipped"];

/** Whether something of it goes on, so that its page changes by itself. */
export function isAtWork({ state }: Pick<StudyHeadBody, "state">): boolean {
  return state === "registering" || state === "running" || state === "stopping";
}

/** How strongly a state of an input asks to be looked at. */
export function stateStrength(state: StudyInputState): WheelLineBody["strength"] {
  if (state === "failed") return "stop";
  return state === "skipped" ? "look here" : "as expected";
}

/** What an input came to, or how far it is. */
export function inputWords({ state, because, share, bursts, telegrams, reached }: StudyInputBody): string {
  switch (state) {
    case "waiting":
      return "waits for its turn";
    case "running":
      return `being decoded, ${percentWords(share)} done`;
    case "failed":
    case "skipped":
      return because ?? "nobody knows why";
    case "done":
      return `${counted(bursts ?? 0, "burst")}, ${counted(telegrams ?? 0, "telegram")}${reached === null ? "" : `; ${reachedWords(reached)}`}`;
  }
}

/** How far the best of an input came. */
function reachedWords(reached: Reached): string {
  return reached === "telegram" ? "came to a telegram" : `stopped at: ${RUNG_QUESTIONS[reached]}`;
}

/** The row of the ladder that a burst belongs to. */
export function outcomeQuestion(outcome: Outcome): string {
  if (outcome === "telegram") return "Read: a telegram";
  if (outcome === "repeat") return "Read: a further copy of one";
  return RUNG_QUESTIONS[outcome];
}

/** What the list of bursts shows, as a title. */
export function burstsTitle(outcome: Outcome | undefined, inputName: string | undefined): string {
  const which =
    outcome === undefined
      ? "All bursts"
      : outcome === "telegram"
        ? "Bursts that were read"
        : outcome === "repeat"
          ? "Further copies of what was read"
          : `Bursts that stopped at “${RUNG_QUESTIONS[outcome]}”`;
  return inputName === undefined ? which : `${which}, of ${inputName}`;
}
