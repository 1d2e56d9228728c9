import type { JobBody } from "../../server/http/wire.ts";

/** What a card says aloud in the bay, where the eyes are on the wheel. */
export type CardSound = "new" | "already had";

/** What has come since the card was last drawn: a wheel heard that was not, or a sensor that another wheel has. */
export function soundFor(
  before: Pick<JobBody, "id" | "lines" | "walk"> | undefined,
  now: Pick<JobBody, "id" | "lines" | "walk">,
): CardSound | undefined {
  if (before?.id !== now.id) return undefined;
  const silent = new Set(before.lines.filter(({ state }) => state !== "heard").map(({ position }) => position));
  if (now.lines.some(({ state, position }) => state === "heard" && silent.has(position))) return "new";
  const had = ({ walk }: Pick<JobBody, "walk">) => walk.filter(({ outcome }) => outcome === "sibling").length;
  return had(now) > had(before) ? "already had" : undefined;
}
