import type { Given, Judged } from "../../class/answer/judge.ts";
import type { Prepared } from "./prepareExercise.ts";
import type { Progress } from "./sittings.ts";

/** What an answer makes of somebody's progress. What was told or solved before stays so. */
export function answered(prepared: Prepared, before: Progress, given: Given): Judged & { readonly after: Progress } {
  const { right, says } = prepared.judge(given);
  if (before.state !== "looking") return { right, says, after: before };
  const after = { ...before, tries: before.tries + 1, state: right ? ("solved" as const) : before.state };
  return { right, says, after };
}

/** One more hint, as long as there is one. */
export function hinted({ hints }: Prepared, before: Progress): Progress {
  return { ...before, hints: Math.min(hints.length, before.hints + 1) };
}

/** Whoever has not solved it is told. */
export function told(before: Progress): Progress {
  return before.state === "looking" ? { ...before, state: "told" } : before;
}
