import type { RungName } from "./records.ts";

// Words that the command line and the pages share.

/** `no bursts`, `one burst`, `12 bursts`. */
export function counted(count: number, thing: string): string {
  return `${numberWord(count)} ${thing}${count === 1 ? "" : "s"}`;
}

/** Small numbers as words, the others as figures. */
export function numberWord(count: number): string {
  return SMALL[count] ?? String(count);
}

/** A sentence begins with a big letter. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A figure with three digits that count, or all of them before the point. */
export function figure(value: number): string {
  if (value === 0) return "0";
  const digits = 2 - Math.floor(Math.log10(Math.abs(value)));
  return String(Number(value.toFixed(Math.min(20, Math.max(0, digits)))));
}

/** What is wrong where a rung is missed, in words of the trade. */
export const RUNG_MISSED: Readonly<Record<RungName, string>> = {
  receiver: "our receiver could not hear it",
  burst: "too weak to make out",
  band: "outside the frequencies we know",
  symbols: "the signal is not steady",
  sync: "no known start",
  "line-code": "bits not well formed",
  length: "not the right length",
  check: "the check does not agree",
  values: "values make no sense",
};

const SMALL = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
