import type { GapBody, ReceiverBody } from "../../server/http/wire.ts";
import { counted, listed } from "./quantities.ts";

/** What the pill at the top says of all receivers. */
export interface Pill {
  readonly words: string;
  /** Whether anything listens. */
  readonly listening: boolean;
}

/** @param receivers `undefined`: not known yet. */
export function pillOf(receivers: readonly ReceiverBody[] | undefined): Pill {
  if (receivers === undefined) return { words: "asking for receivers …", listening: false };
  const listening = receivers.filter(({ state }) => state === "listening");
  if (receivers.length === 0) return { words: "none connected — connect", listening: false };
  if (listening.length === 0) {
    return { words: `none listening — ${counted(receivers.length, "receiver")} away`, listening: false };
  }
  const carriers = carriersInMhz(listening);
  const away = receivers.length - listening.length;
  const parts = [`${listening.length} listening`];
  if (carriers !== "") parts.push(carriers);
  if (away > 0) parts.push(`${away} away`);
  return { words: parts.join(" · "), listening: true };
}

/** `433.92 and 315 MHz`; empty where no receiver told. */
export function carriersInMhz(receivers: readonly Pick<ReceiverBody, "carrierHz">[]): string {
  const carriers = new Set(receivers.flatMap(({ carrierHz }) => carrierHz));
  const megahertz = [...carriers].toSorted((a, b) => b - a).map((hz) => String(Number((hz / 1e6).toFixed(3))));
  return megahertz.length === 0 ? "" : `${listed(megahertz)} MHz`;
}

/** How a receiver is joined to us. */
export function joinedWords({ kind, path, baudRate, port }: ReceiverBody): string {
  switch (kind) {
    case "serial":
      return `serial port ${path ?? "?"} at ${baudRate ?? "?"} baud`;
    case "tcp":
      return `lines over the network, TCP port ${port ?? "?"}`;
    case "samples":
      return `live samples over the network, TCP port ${port ?? "?"}`;
    case "stdin":
      return "lines from standard input";
    case "replay":
      return `replay of ${path ?? "?"}`;
  }
}

/** What came of what it sent. */
export function broughtWords({ lines, bursts, telegrams, quarantined }: ReceiverBody): string {
  const unfit =
    quarantined === 0
      ? "every line did fit"
      : `${counted(quarantined, "line")} did not fit and ${quarantined === 1 ? "was" : "were"} put aside`;
  return `${counted(lines, "line")}, ${counted(bursts, "burst")}, ${counted(telegrams, "telegram")}; ${unfit}`;
}

/** What happened to lines that did not come, as a sentence. */
export function gapWords({ from, to, state }: GapBody): string {
  const lines = from === to ? `Line ${from} was missed` : `Lines ${from} to ${to} were missed`;
  switch (state) {
    case "open":
      return `${lines} and asked for again; nothing after them is lost.`;
    case "filled":
      return `${lines} and came in later.`;
    case "lost":
      return `${lines}: the receiver no longer has ${from === to ? "it" : "them"}.`;
  }
}
