import type { StoredBurstBody, StoredTelegramBody } from "../../server/http/wire.ts";
import { counted, frequencyShown, inLine, listed } from "./quantities.ts";
import { firstMissed } from "./rungWords.ts";

/** What ten seconds of listening came to, for somebody who holds one transmitter to the receiver. */
export interface SendingAnswer {
  readonly answer: "yes" | "yes, not readable" | "not heard";
  /** A few words, to be read at two metres. */
  readonly big: string;
  readonly says: string;
  readonly nextSteps: readonly string[];
}

/**
 * @param bursts Those that came while the check ran.
 * @param telegrams Likewise, each in its newest revision.
 * @param listeningCount Receivers that listened.
 */
export function sendingAnswer(
  bursts: readonly StoredBurstBody[],
  telegrams: readonly StoredTelegramBody[],
  listeningCount: number,
): SendingAnswer {
  const verified = telegrams.filter(({ telegram }) => telegram.verified);
  const first = verified[0];
  if (first) {
    const sensors = [...new Set(verified.map(({ identity }) => identity ?? "a sensor without ID"))];
    return {
      answer: "yes",
      big: "Yes, it sends",
      says: `${counted(verified.length, "telegram")} verified, from ${listed(sensors)}, on ${on(first.telegram.carrierHz)}.`,
      nextSteps:
        sensors.length > 1 ? ["More than one sensor answered: go further from the others and check once more."] : [],
    };
  }
  const heard = bursts.find(({ burst }) => burst.outcome !== "burst" && burst.outcome !== "receiver") ?? bursts[0];
  if (heard) {
    const missed = firstMissed(heard.burst.rungs);
    return {
      answer: "yes, not readable",
      big: "It sends, not readable",
      says: `${counted(bursts.length, "burst")} came in on ${on(heard.burst.carrierHz)}. ${missed?.because ?? ""}`.trim(),
      nextSteps: missed?.nextStep ? [missed.nextStep] : ["Go closer, and check once more."],
    };
  }
  if (listeningCount === 0) {
    return {
      answer: "not heard",
      big: "Nobody listened",
      says: "No receiver was listening, so this says nothing about the transmitter.",
      nextSteps: ["Connect a receiver, then check again."],
    };
  }
  return {
    answer: "not heard",
    big: "Not heard",
    says: `Nothing came in while ${counted(listeningCount, "receiver")} listened.`,
    nextSteps: [
      "Wake it right before the check: a standing sensor usually answers once per wake.",
      "Hold it within 30 cm of the receiver.",
      "Check with one that is known to send, to prove that the receiver hears.",
    ],
  };
}

/** One row of the list of what came in. */
export interface Heard {
  readonly id: string;
  readonly at: string;
  readonly burst: StoredBurstBody["burst"];
  readonly identity: string | null;
  readonly layout: string | null;
}

/** The newest bursts first, each with the sensor of the telegram it belongs to. */
export function lastHeard(
  bursts: readonly StoredBurstBody[],
  telegrams: readonly StoredTelegramBody[],
  count: number,
): Heard[] {
  const newest = bursts.toSorted((a, b) => (a.at < b.at ? 1 : a.at > b.at ? -1 : 0)).slice(0, count);
  return newest.map(({ id, at, burst, receiverId }) => {
    const telegram = telegrams.find(
      (one) => one.receiverId === receiverId && one.telegram.repeats.includes(burst.index) && near(one.at, at),
    );
    return { id, at, burst, identity: telegram?.identity ?? null, layout: telegram?.telegram.layout ?? burst.layout };
  });
}

/** How far a carrier lies from the nearest one of the layouts; `undefined` beyond the reach of all. */
export function carrierOffset(
  carrierHz: number,
  nominalHz: readonly number[],
): { readonly nominalHz: number; readonly offsetHz: number } | undefined {
  const nearest = nominalHz.toSorted((a, b) => Math.abs(a - carrierHz) - Math.abs(b - carrierHz))[0];
  if (nearest === undefined || Math.abs(carrierHz - nearest) > REACH_HZ) return undefined;
  return { nominalHz: nearest, offsetHz: carrierHz - nearest };
}

/** A layout is tried on bursts this near to one of its carriers. */
const REACH_HZ = 100e3;

/** Copies of one telegram lie within seconds; burst numbers start anew with each start of a receiver. */
function near(a: string, b: string): boolean {
  return Math.abs(Date.parse(a) - Date.parse(b)) < 10_000;
}

function on(carrierHz: number): string {
  return inLine(frequencyShown(carrierHz));
}
