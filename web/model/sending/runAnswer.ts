import type { ReceiverBody } from "../../../server/http/wire.ts";
import { counted, figure, inLine, listed } from "../quantities.ts";
import { type CarrierVerdict, carrierVerdict, type Nominal } from "./carrierVerdict.ts";
import { HELD_WORDS, type Held, timesWords } from "./held.ts";
import { type HeardPress, isHeard, PRESSES, type Press, type PressRun } from "./pressRun.ts";
import { type PressTrend, pressTrend } from "./pressTrend.ts";

/** What a run came to so far, for somebody who holds one transmitter to the receiver. */
export interface RunAnswer {
  readonly answer: "nobody listened" | "waiting" | "not heard" | "faint" | "yes";
  /** A few words, to be read at two metres. */
  readonly big: string;
  readonly says: string;
  readonly nextSteps: readonly string[];
  /** `Press 4 of 10`; `undefined` when all are done. */
  readonly counter: string | undefined;
  readonly carrier: CarrierVerdict | undefined;
  readonly keying: string | undefined;
  readonly trend: PressTrend | undefined;
  /** Verified telegrams are an extra, and not the answer. */
  readonly extra: string | undefined;
  /** One sentence for those who hear the page, about the newest press. */
  readonly spoken: string;
}

export interface RunAsked {
  readonly run: PressRun;
  readonly held: Held;
  readonly nominals: readonly Nominal[];
  readonly listeningCount: number;
  /** Since the run began. */
  readonly waitedSeconds: number;
}

/** So long nothing is said of silence. */
const WAIT_SECONDS = 10;

export function runAnswer({ run, held, nominals, listeningCount, waitedSeconds }: RunAsked): RunAnswer {
  const { presses } = run;
  const came = presses.filter(isHeard);
  const heard = came.filter(({ outcome }) => outcome === "heard");
  const { once, now } = HELD_WORDS[held];
  const done = presses.length >= PRESSES;
  const trend = pressTrend(run, held);
  const sure = heard.length > 0 ? heard : came;
  const shared = {
    counter: done ? undefined : `${capital(once)} ${presses.length + 1} of ${PRESSES}`,
    carrier: sure.length === 0 ? undefined : carrierVerdict(median(sure.map(({ carrierHz }) => carrierHz)), nominals),
    keying: sure.length === 0 ? undefined : keyingWords(sure),
    trend,
    extra: extraWords(came),
    spoken: spokenOf(run, held),
  };
  if (listeningCount === 0 && came.length === 0) {
    return {
      ...shared,
      answer: "nobody listened",
      big: "Nobody listens",
      says: "No receiver listens, so silence says nothing about the transmitter.",
      nextSteps: ["Connect a receiver, then begin again."],
      counter: undefined,
    };
  }
  if (heard.length > 0) {
    return {
      ...shared,
      answer: "yes",
      big: "Yes, it sends",
      says: `Heard at ${heard.length} of ${timesWords(held, presses.length)}.${missedWords(presses, heard.length)}`,
      nextSteps: done || presses.length < 2 ? quiet(held) : [],
    };
  }
  if (came.length > 0) {
    return {
      ...shared,
      answer: "faint",
      big: "Something faint",
      says: `What came in at ${came.length} of ${timesWords(held, presses.length)} is too weak to be sure of.`,
      nextSteps: [HELD_WORDS[held].nearer],
    };
  }
  if (presses.length > 0 || waitedSeconds >= WAIT_SECONDS) {
    return {
      ...shared,
      answer: "not heard",
      big: "Not heard",
      says:
        presses.length > 0
          ? `Nothing came at ${timesWords(held, presses.length)}, while ${counted(listeningCount, "receiver")} listened.`
          : `Nothing came in ${WAIT_SECONDS} seconds, while ${counted(listeningCount, "receiver")} listened. It still listens.`,
      nextSteps: [
        HELD_WORDS[held].nearer,
        "Check with one that is known to send, to prove that the receiver hears.",
        "See whether the receiver listens on its frequency: one at 433.92 MHz does not hear 315 or 868 MHz.",
      ],
    };
  }
  return { ...shared, answer: "waiting", big: `Listening: ${once} 1 of ${PRESSES}`, says: now, nextSteps: [] };
}

/** How the scale of a level is to be read. Three scales, and none of them is a power at the antenna. */
export function scaleWords({ scale }: PressRun, receiver: Pick<ReceiverBody, "name"> | undefined): string {
  const by = receiver === undefined ? "" : ` as ${receiver.name} hears it`;
  return scale === "full scale"
    ? `Level in dBFS${by}: decibels below the largest sample that the receiver can tell. It is no power at the antenna (dBm), and changes with the gain.`
    : `Level in dB over the noise${by} (SNR): what the receiver reads as its strength (RSSI) less what it reads as noise. An RSSI is rough, and near its top it hardly moves. This receiver does not tell when it is overloaded.`;
}

export function unitOf({ scale }: PressRun): string {
  return scale === "full scale" ? "dBFS" : "dB over noise";
}

/** `FSK, 19,200 symbols/s`; where presses differ, how many each. */
export function keyingWords(presses: readonly HeardPress[]): string {
  const kinds = new Map<string, number>();
  for (const { keying } of presses) {
    const words = keying?.toUpperCase() ?? "not clear";
    kinds.set(words, (kinds.get(words) ?? 0) + 1);
  }
  const names = kinds.size === 1 ? [...kinds.keys()] : [...kinds].map(([words, count]) => `${words} at ${count}`);
  const rates = presses.flatMap(({ symbolRate }) => symbolRate ?? []);
  const rate = rates.length === 0 ? "" : `, ${Math.round(median(rates)).toLocaleString("en-GB")} symbols/s`;
  return `${listed(names)}${rate}`;
}

/** @param values One at least. */
export function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}

function pressWords(press: Press, unit: string): string {
  if (press.outcome === "missed") return "not heard";
  const level = press.levelDb === undefined ? "level not told" : inLine({ figure: figure(press.levelDb, 1), unit });
  return `${press.outcome === "faint" ? "faint" : "heard"}, ${level}${press.clipped ? ", overloaded" : ""}`;
}

function spokenOf(run: PressRun, held: Held): string {
  const last = run.presses.at(-1);
  if (!last) return "";
  return `${capital(HELD_WORDS[held].once)} ${last.number} of ${PRESSES}: ${pressWords(last, unitOf(run))}.`;
}

function extraWords(came: readonly HeardPress[]): string | undefined {
  const identities = [...new Set(came.flatMap((press) => press.identities))];
  if (identities.length === 0) return undefined;
  const who = `Besides, telegrams of ${listed(identities)} were read and their checks agree.`;
  return identities.length === 1 ? who : `${who} That is more than one sensor: go further from the others.`;
}

function missedWords(presses: readonly Press[], heardCount: number): string {
  const missed = presses.filter(({ outcome }) => outcome === "missed").length;
  const faint = presses.length - heardCount - missed;
  const parts = [...(missed > 0 ? [`${missed} not heard`] : []), ...(faint > 0 ? [`${faint} faint`] : [])];
  return parts.length === 0 ? "" : ` ${capital(listed(parts))}.`;
}

/** A receiver cannot tell whose signal it hears; a pause can. */
function quiet(held: Held): readonly string[] {
  return [
    `To be sure that it is this one: leave it alone for ten seconds. Nothing should come until the next ${HELD_WORDS[held].once}.`,
  ];
}

function capital(words: string): string {
  return words.slice(0, 1).toUpperCase() + words.slice(1);
}
