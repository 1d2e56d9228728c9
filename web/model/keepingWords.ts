import type { KeepingBody } from "../../server/http/wire/keeping.ts";
import { counted } from "./quantities.ts";
import { timeShown } from "./times.ts";

/** What is kept now, as a sentence. */
export function keptWords({ months, gigabytes, usedBytes }: KeepingBody): string {
  const limits = [...(months === null ? [] : [`${months} months`]), ...(gigabytes === null ? [] : [`${gigabytes} GB`])];
  const limit = limits.length === 0 ? "without a limit" : `at most ${limits.join(" and ")}`;
  return `What receivers said is kept ${limit}. It takes up ${gigabytesShown(usedBytes)} now.`;
}

/** What goes by a choice, as a sentence. */
export function goesWords({ goes }: Pick<KeepingBody, "goes">, timeZone?: string): string {
  if (goes === null) return "Nothing goes by that.";
  const { before, lines, bursts, telegrams, aside } = goes;
  const what = [
    counted(lines, "line"),
    counted(bursts, "burst"),
    counted(telegrams, "telegram"),
    `${counted(aside, "line")} that did not fit`,
  ];
  if (lines + bursts + telegrams + aside === 0)
    return `Nothing goes by that: all from before ${timeShown(before, timeZone)} is of jobs.`;
  return `By that goes what came before ${timeShown(before, timeZone)}: ${what.join(", ")}. It cannot be brought back. What was heard on the visits of jobs stays.`;
}

function gigabytesShown(bytes: number): string {
  return bytes < 1e9 ? `${(bytes / 1e6).toFixed(0)} MB` : `${(bytes / 1e9).toFixed(1)} GB`;
}
