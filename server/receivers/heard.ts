import { createHash } from "node:crypto";
import type { LiveBurst, LiveTelegram } from "../../decoders/frames/teller.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { StoredBurst, StoredTelegram } from "../store/store.ts";
import type { HubEvent } from "./hub.ts";
import { timeOfMicroseconds } from "./stamps.ts";

/** Where and when something was heard. */
export interface HeardPlace {
  readonly receiverId: string;
  /** What `atSeconds` counts from, in microseconds since 1970. */
  readonly originMicroseconds: number;
  /** The id of a burst by its record's index. */
  readonly burstId: (index: number) => string;
}

/** The same for the same words, so that what is decoded twice is stored once. */
export function idOf(...words: readonly (string | number)[]): string {
  return createHash("sha256").update(JSON.stringify(words)).digest("hex").slice(0, 24);
}

export function storedBurst({ burst }: LiveBurst, place: HeardPlace): StoredBurst {
  return {
    id: place.burstId(burst.index),
    at: timeAt(place, burst.atSeconds),
    on: { receiverId: place.receiverId },
    burst,
  };
}

export function storedTelegram(told: LiveTelegram, place: HeardPlace, layouts: readonly Layout[]): StoredTelegram {
  const { opener, ordinal, revision, telegram } = told;
  return {
    id: `${place.burstId(opener)}-${ordinal}`,
    revision,
    at: timeAt(place, telegram.atSeconds),
    on: { receiverId: place.receiverId },
    identity: identityOf(told, layouts),
    telegram,
  };
}

/** What the pages are told of a telegram. */
export type Told = Omit<StoredTelegram, "on">;

/** What the pages are told once it was stored. */
export function heardEvents(
  receiverId: string,
  bursts: readonly StoredBurst[],
  telegrams: readonly StoredTelegram[],
): HubEvent[] {
  return [
    ...bursts.map(({ id, at, burst }): HubEvent => ({ type: "burst", body: { id, at, receiverId, burst } })),
    ...telegrams.map(
      ({ on: _, ...body }): HubEvent => ({ type: "telegram", body: { ...body, receiverId, recordingHash: null } }),
    ),
  ];
}

function identityOf({ telegram }: LiveTelegram, layouts: readonly Layout[]): string | null {
  const layout = layouts.find(({ id }) => id === telegram.layout);
  const field = layout?.fields.find(({ type }) => type === "identity");
  const value = field && telegram.fields[field.name]?.value;
  return typeof value === "string" ? value : null;
}

function timeAt(place: HeardPlace, atSeconds: number): string {
  return timeOfMicroseconds(place.originMicroseconds + Math.round(atSeconds * 1e6));
}
