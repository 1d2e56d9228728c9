import type { RungName } from "../../decoders/records.ts";

export function inMhz(carrierHz: number): string {
  return `${(carrierHz / 1e6).toFixed(3)} MHz`;
}

/** Bits and the like, where a figure is better than a word. */
export function inBits(count: number): string {
  return `${count} ${count === 1 ? "bit" : "bits"}`;
}

export function inSeconds(seconds: number): string {
  return `${seconds.toFixed(3)} s`;
}

/** What each rung of the check ladder asks, in words of the trade. */
export const RUNG_ASKS: Readonly<Record<RungName, string>> = {
  receiver: "could we hear it",
  burst: "something was sent",
  band: "where we listened",
  symbols: "a steady signal",
  sync: "a known start",
  "line-code": "bits well formed",
  length: "the right length",
  check: "the check agrees",
  values: "values make sense",
};
