import type { StoredBurstBody, StoredTelegramBody } from "../../../server/http/wire.ts";

/** How many times it is made to send. */
export const PRESSES = 10;

/** One time that it was made to send: what one receiver heard of it, or that nothing came. */
export type Press =
  | { readonly number: number; readonly outcome: "missed" }
  | {
      readonly number: number;
      /** `faint`: too weak over the noise to be sure of. */
      readonly outcome: "heard" | "faint";
      readonly at: string;
      readonly burstCount: number;
      /** Of its strongest burst, on the scale of the run; `undefined` where the receiver does not tell. */
      readonly levelDb: number | undefined;
      /** Whether the receiver was overloaded. */
      readonly clipped: boolean;
      /** Of its strongest burst, as measured. */
      readonly carrierHz: number;
      readonly keying: "ask" | "fsk" | undefined;
      readonly symbolRate: number | undefined;
      /** Sensors of verified telegrams that it held. */
      readonly identities: readonly string[];
    };
export type HeardPress = Exclude<Press, { outcome: "missed" }>;

export interface PressRun {
  /** In order, ten at most. */
  readonly presses: readonly Press[];
  /** The one whose levels are told; `undefined` before the first burst. */
  readonly receiverId: string | undefined;
  /** What levels are above: full scale (dBFS), or the noise as the receiver itself measures both. */
  readonly scale: "full scale" | "noise";
}

/**
 * @param bursts In any order, of any receivers.
 * @param missedAfter For each press that brought nothing, how many had been heard before it: no two clocks are compared.
 */
export function pressRun(
  bursts: readonly StoredBurstBody[],
  telegrams: readonly StoredTelegramBody[],
  missedAfter: readonly number[],
): PressRun {
  const receiverId = followed(bursts);
  const own = bursts.filter((burst) => burst.receiverId === receiverId);
  const scale = own.some(({ burst }) => burst.levelDbfs !== null) || own.length === 0 ? "full scale" : "noise";
  const heard = together(own);
  const presses: Press[] = [];
  const miss = (after: number) => {
    for (const one of missedAfter) if (one === after) presses.push({ number: presses.length + 1, outcome: "missed" });
  };
  miss(0);
  heard.forEach((group, i) => {
    presses.push({ number: presses.length + 1, ...measured(group, scale, telegrams) });
    miss(i + 1);
  });
  return { presses: presses.slice(0, PRESSES), receiverId, scale };
}

export function isHeard(press: Press): press is HeardPress {
  return press.outcome !== "missed";
}

/** A silence longer than between the copies of one telegram. */
const APART_MS = 1500;

/** Levels of two receivers cannot be compared: the one that heard most bursts is followed, the first of equals. */
function followed(bursts: readonly StoredBurstBody[]): string | undefined {
  const counts = new Map<string, number>();
  for (const { receiverId } of bursts)
    if (receiverId !== null) counts.set(receiverId, (counts.get(receiverId) ?? 0) + 1);
  return [...counts].toSorted(([, a], [, b]) => b - a)[0]?.[0];
}

function together(bursts: readonly StoredBurstBody[]): StoredBurstBody[][] {
  const groups: { readonly bursts: StoredBurstBody[]; endMs: number }[] = [];
  for (const one of bursts.toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at))) {
    const ms = Date.parse(one.at);
    const last = groups.at(-1);
    const endMs = ms + one.burst.durationSeconds * 1000;
    if (last && ms - last.endMs <= APART_MS) {
      last.bursts.push(one);
      last.endMs = Math.max(last.endMs, endMs);
    } else groups.push({ bursts: [one], endMs });
  }
  return groups.map((group) => group.bursts);
}

function measured(
  group: readonly StoredBurstBody[],
  scale: PressRun["scale"],
  telegrams: readonly StoredTelegramBody[],
): Omit<HeardPress, "number"> {
  const levelOf = ({ burst }: StoredBurstBody) => (scale === "full scale" ? burst.levelDbfs : burst.snrDb) ?? undefined;
  const strongest = group.toSorted((a, b) => (levelOf(b) ?? -Infinity) - (levelOf(a) ?? -Infinity))[0]!;
  const from = Date.parse(group[0]!.at) - NEAR_MS;
  const to = Date.parse(group.at(-1)!.at) + NEAR_MS;
  const verified = telegrams.filter(
    ({ telegram, at, receiverId }) =>
      telegram.verified && receiverId === strongest.receiverId && Date.parse(at) >= from && Date.parse(at) <= to,
  );
  const { carrierHz, modulation, symbolRate } = strongest.burst;
  return {
    outcome: group.every(({ burst }) => burst.outcome === "burst") ? "faint" : "heard",
    at: group[0]!.at,
    burstCount: group.length,
    levelDb: levelOf(strongest),
    clipped: group.some(({ burst }) => burst.clipped || burst.outcome === "receiver"),
    carrierHz,
    keying: modulation ?? undefined,
    symbolRate: symbolRate ?? undefined,
    identities: [...new Set(verified.flatMap(({ identity }) => identity ?? []))],
  };
}

/** A telegram is as old as its first copy. */
const NEAR_MS = 200;
