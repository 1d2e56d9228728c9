import { CARRIER_REACH_HZ } from "../../decoders/layouts/carrierReach.ts";
import type { BurstRecord } from "../../decoders/records.ts";
import type { LinkState } from "./link.ts";

/** A rung as the check ladder of a burst has it, climbed by the receiver itself. */
export interface CheckedRung {
  readonly rung: "receiver" | "burst" | "band";
  /** `null`: it was not reached, or cannot be told. */
  readonly passed: boolean | null;
  readonly because: string;
  readonly measured: number | null;
  readonly needed: number | null;
  readonly unit: string | null;
  readonly nextStep: string | null;
}

/** What a receiver showed of itself while it was looked at. */
export interface SelfCheck {
  /** When it was over, RFC 3339. */
  readonly at: string;
  /** How long it was looked at. */
  readonly seconds: number;
  /** The first three, in their order. */
  readonly rungs: readonly CheckedRung[];
  /** All three were passed: it hears. */
  readonly passed: boolean;
}

export interface SelfCheckInput {
  readonly at: string;
  readonly seconds: number;
  readonly state: LinkState;
  /** The receiver's own sentence. */
  readonly says: string;
  /** Since anything at all came from it; `undefined`: nothing ever did. */
  readonly silentSeconds: number | undefined;
  /** What it heard meanwhile. */
  readonly bursts: readonly BurstRecord[];
  /** Every nominal carrier of the shelf. */
  readonly shelfHz: readonly number[];
}

/** A receiver that tells its level does so more often than this. */
const MOST_SILENT_SECONDS = 60;

/** Climbs the first three rungs: could it hear, was something sent, and was that where sensors send. */
export function selfCheckOf(input: SelfCheckInput): SelfCheck {
  const receiver = receiverRung(input);
  const burst = receiver.passed === false ? notReached("burst") : burstRung(input);
  const band = burst.passed === true ? bandRung(input) : notReached("band");
  const rungs = [receiver, burst, band];
  return { at: input.at, seconds: input.seconds, rungs, passed: rungs.every(({ passed }) => passed === true) };
}

function receiverRung({ state, says, silentSeconds, bursts }: SelfCheckInput): CheckedRung {
  const figures = { rung: "receiver", needed: MOST_SILENT_SECONDS, unit: "s" } as const;
  if (state !== "listening") {
    return { ...figures, passed: false, because: "It is not joined to us.", measured: null, nextStep: says };
  }
  const clipped = bursts.filter((one) => one.clipped).length;
  if (clipped > 0 && clipped === bursts.length) {
    const because = `It was overloaded: every one of ${bursts.length} bursts came in at full scale.`;
    const nextStep = "Move the receiver 2 m away, or turn its gain down, and check again.";
    return { rung: "receiver", passed: false, because, measured: clipped, needed: 0, unit: "bursts", nextStep };
  }
  const measured = silentSeconds === undefined ? null : Math.round(silentSeconds);
  if (measured !== null && measured <= MOST_SILENT_SECONDS) {
    const because = measured < 2 ? "It is joined to us and speaks." : `It is joined to us and spoke ${measured} s ago.`;
    return { ...figures, passed: true, because, measured, nextStep: null };
  }
  return {
    ...figures,
    passed: null,
    because:
      measured === null
        ? "It is joined to us, but never said anything."
        : `It is joined to us, but said nothing for ${measured} s.`,
    measured,
    nextStep: "See that it is switched on and its antenna is screwed on; one that tells its level says so by itself.",
  };
}

function burstRung({ bursts, seconds }: SelfCheckInput): CheckedRung {
  const figures = { rung: "burst", measured: bursts.length, needed: 1, unit: "bursts" } as const;
  if (bursts.length > 0) {
    const strongest = Math.max(...bursts.map(({ snrDb }) => snrDb ?? Number.NEGATIVE_INFINITY));
    const level = Number.isFinite(strongest) ? `, the strongest ${Math.round(strongest)} dB above the noise` : "";
    return { ...figures, passed: true, because: `It heard ${counted(bursts.length)}${level}.`, nextStep: null };
  }
  return {
    ...figures,
    passed: false,
    because: `It heard no burst in ${Math.round(seconds)} s.`,
    nextStep: "Hold a sensor that is known to be good to it, wake it, and check again.",
  };
}

function bandRung({ bursts, shelfHz }: SelfCheckInput): CheckedRung {
  const nearest = bursts
    .flatMap(({ carrierHz }) => shelfHz.map((hz) => ({ carrierHz, hz, offHz: Math.abs(carrierHz - hz) })))
    .toSorted((a, b) => a.offHz - b.offHz)[0];
  const measured = nearest === undefined ? null : megahertz(nearest.carrierHz);
  const needed = nearest === undefined ? null : megahertz(nearest.hz);
  const figures = { rung: "band", measured, needed, unit: "MHz" } as const;
  if (nearest === undefined) {
    const nextStep = "Put a layout on the shelf.";
    return { ...figures, passed: null, because: "There is no layout that says where sensors send.", nextStep };
  }
  const passed = nearest.offHz <= CARRIER_REACH_HZ;
  return {
    ...figures,
    passed,
    because: passed
      ? `${measured} MHz, where sensors of the shelf send (${needed} MHz).`
      : `${measured} MHz, and the nearest that a layout of the shelf uses is ${needed} MHz.`,
    nextStep: passed ? null : `Tune it to ${needed} MHz, or use a sensor of its band.`,
  };
}

function notReached(rung: "burst" | "band"): CheckedRung {
  const because = "Not reached.";
  return { rung, passed: null, because, measured: null, needed: null, unit: null, nextStep: null };
}

function counted(bursts: number): string {
  return bursts === 1 ? "1 burst" : `${bursts} bursts`;
}

function megahertz(hz: number): number {
  return Number((hz / 1e6).toFixed(3));
}
