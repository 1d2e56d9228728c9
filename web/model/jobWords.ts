import type { JobBody, ReceiverBody, RunBody, WheelLineBody } from "../../server/http/wire.ts";
import { counted } from "./quantities.ts";
import { addressOf, wheelSlug } from "./route.ts";
import { timeShown } from "./times.ts";

/** The strongest of the findings. */
export function strongest(lines: readonly Pick<WheelLineBody, "strength">[]): WheelLineBody["strength"] {
  const order: readonly WheelLineBody["strength"][] = ["stop", "look here"];
  return order.find((strength) => lines.some((line) => line.strength === strength)) ?? "as expected";
}

/** A visit in a few words: how many wheels were heard, and the worst that was found. */
export function visitWords({ lines }: Pick<JobBody, "lines">): string {
  const heard = lines.filter(({ state }) => state === "heard").length;
  const stops = lines.filter(({ strength }) => strength === "stop").length;
  const looks = lines.filter(({ strength }) => strength === "look here").length;
  const found = stops > 0 ? counted(stops, "stop") : looks > 0 ? `${looks} to look at` : "as expected";
  return `${heard} of ${lines.length} heard, ${found}`;
}

/** The one thing to do next on a card: another page, or listening begun or ended. */
export type MainAction =
  | { readonly kind: "go"; readonly label: string; readonly href: string }
  | { readonly kind: "start" | "stop"; readonly label: string };

/**
 * What the button at the foot of a card offers: first that something listens, then listening itself, then the worst
 * finding, then the sheet.
 *
 * @param receivers Those that the visit listens to.
 * @param runs When the job listened.
 */
export function mainAction(job: JobBody, receivers: readonly ReceiverBody[], runs: readonly RunBody[]): MainAction {
  if (runs.some(({ endedAt }) => endedAt === null)) return { kind: "stop", label: "Stop listening" };
  const missing = job.lines.some(({ state }) => state !== "heard");
  if (missing && runs.length === 0) {
    if (receivers.some(({ state }) => state === "listening")) return { kind: "start", label: "Start listening" };
    if (job.recordingHashes.length === 0) return { kind: "go", label: "Connect a receiver", href: "/receivers" };
  }
  const worst =
    job.lines.find(({ strength }) => strength === "stop") ?? job.lines.find(({ strength }) => strength === "look here");
  if (worst) {
    const href = addressOf({ page: "wheel", id: job.id, wheel: wheelSlug(worst.position) });
    return { kind: "go", label: `Next: ${worst.position}`, href };
  }
  return { kind: "go", label: "Make hand-over sheet", href: `/api/v1/jobs/${encodeURIComponent(job.id)}/sheet` };
}

/** When a visit listened, and so which telegrams are its own. */
export function runWords(runs: readonly RunBody[], receiverCount: number): string {
  const last = runs.at(-1);
  if (last?.endedAt === null)
    return `Listening since ${timeShown(last.startedAt)}. What comes in now belongs to this visit.`;
  if (last)
    return `Listened ${runs.length === 1 ? "once" : `${runs.length} times`}, last until ${timeShown(last.endedAt ?? "")}.`;
  if (receiverCount === 0) return "This visit listens to no receiver.";
  return "Not started: until then all that its receivers hear since the card was made counts.";
}
