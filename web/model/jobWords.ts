import type { z } from "zod";
import type { JobBody, ReceiverBody, WheelLineBody } from "../../server/http/wire.ts";
import { counted } from "./quantities.ts";
import { addressOf, wheelSlug } from "./route.ts";

type Job = z.infer<typeof JobBody>;

/** The strongest of the findings. */
export function strongest(lines: readonly Pick<WheelLineBody, "strength">[]): WheelLineBody["strength"] {
  const order: readonly WheelLineBody["strength"][] = ["stop", "look here"];
  return order.find((strength) => lines.some((line) => line.strength === strength)) ?? "as expected";
}

/** A visit in a few words: how many wheels were heard, and the worst that was found. */
export function visitWords({ lines }: Pick<Job, "lines">): string {
  const heard = lines.filter(({ state }) => state === "heard").length;
  const stops = lines.filter(({ strength }) => strength === "stop").length;
  const looks = lines.filter(({ strength }) => strength === "look here").length;
  const found = stops > 0 ? counted(stops, "stop") : looks > 0 ? `${looks} to look at` : "as expected";
  return `${heard} of ${lines.length} heard, ${found}`;
}

/** The one thing to do next on a card. */
export interface MainAction {
  readonly label: string;
  readonly href: string;
}

/**
 * What the button at the foot of a card offers: first that something listens, then that every wheel has its sensor, then
 * the worst finding, then the sheet.
 *
 * @param receivers Those that the visit listens to.
 */
export function mainAction(job: Job, receivers: readonly ReceiverBody[]): MainAction {
  const nothing = job.lines.every(({ state }) => state !== "heard") && job.others.length === 0;
  if (nothing && job.recordingHashes.length === 0 && !receivers.some(({ state }) => state === "listening")) {
    return { label: "Connect a receiver", href: "/receivers" };
  }
  const worst =
    job.lines.find(({ strength }) => strength === "stop") ?? job.lines.find(({ strength }) => strength === "look here");
  if (worst) {
    return {
      label: `Next: ${worst.position}`,
      href: addressOf({ page: "wheel", id: job.id, wheel: wheelSlug(worst.position) }),
    };
  }
  return { label: "Make hand-over sheet", href: `/api/v1/jobs/${encodeURIComponent(job.id)}/sheet` };
}
