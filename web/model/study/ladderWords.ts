import type { StudyLadderRowBody } from "../../../server/http/wire/studies.ts";
import { counted } from "../quantities.ts";
import { RUNG_QUESTIONS } from "../rungWords.ts";

/** The finding of the ladder in a sentence, for its title. */
export function ladderTitle(ladder: readonly StudyLadderRowBody[]): string {
  const all = ladder.reduce((sum, { bursts }) => sum + bursts, 0);
  if (all === 0) return "No burst was heard so far";
  const read = ladder.reduce((sum, { outcome, bursts }) => sum + (isRead(outcome) ? bursts : 0), 0);
  const missed = ladder.filter(({ outcome, bursts }) => !isRead(outcome) && bursts > 0);
  const most = missed.reduce<StudyLadderRowBody | undefined>((a, b) => (a && a.bursts >= b.bursts ? a : b), undefined);
  const readWords = `${read} of ${counted(all, "burst")} ${read === 1 ? "was" : "were"} read`;
  if (!most || most.outcome === "telegram" || most.outcome === "repeat") return readWords;
  return `${readWords}; most others stopped at “${RUNG_QUESTIONS[most.outcome]}”`;
}

function isRead(outcome: StudyLadderRowBody["outcome"]): boolean {
  return outcome === "telegram" || outcome === "repeat";
}
