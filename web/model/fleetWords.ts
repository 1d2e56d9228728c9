import type { FleetBody } from "../../server/http/wire/fleet.ts";
import { counted } from "./quantities.ts";

export type FleetNow = NonNullable<FleetBody["fleet"]>;
type Stream = NonNullable<FleetNow["nats"]["streams"]>[number];
type Server = FleetNow["nats"]["servers"][number];

/** Who leads a stream, and how its other copies stand. */
export function copiesWords({ copies }: Stream): string {
  const others = copies.filter(({ state }) => state !== "leads");
  if (others.length === 0) return "one copy alone";
  return others
    .map(({ server, state, behind }) => `${server} ${state === "behind" && behind > 0 ? `${behind} behind` : state}`)
    .join(", ");
}

/** Whether every copy of a stream is up to date, and it has a leader. */
export function isSound({ leader, copies }: Stream): boolean {
  return leader !== null && copies.every(({ state }) => state === "leads" || state === "current");
}

/** Whether NATS tells at the moment who is there. */
export function isTold({ nats: { streams } }: Pick<FleetNow, "nats">): boolean {
  return streams?.some(({ name, leader }) => name === "KV_wheelgram-members" && leader !== null) ?? false;
}

export function serverWords({ answers, leads }: Server): string {
  if (!answers) return "gone";
  if (leads === null) return "answers";
  return leads === 0 ? "answers, leads none" : `answers, leads ${counted(leads, "stream")}`;
}

/** What waits, as two sentences. */
export function lagWords({ lag }: Pick<FleetNow, "lag">): readonly [lines: string, work: string] {
  const oldest = (seconds: number | null) => (seconds === null ? "" : `, the oldest for ${secondsShown(seconds)}`);
  const lines =
    lag.lines === null
      ? "Not known: what tells it does not answer."
      : lag.lines === 0
        ? "None waits."
        : `At most ${counted(lag.lines, "message")}${oldest(lag.oldestLineSeconds)}.`;
  const running = lag.workRunning ?? 0;
  const work =
    lag.work === null
      ? "Not known: what tells it does not answer."
      : lag.work + running === 0
        ? "None waits."
        : `${lag.work} waiting, ${running} under way${oldest(lag.oldestWorkSeconds)}.`;
  return [lines, work];
}

export function bytesShown(bytes: number): string {
  if (bytes < 1e6) return `${Math.round(bytes / 1e3)} kB`;
  return bytes < 1e9 ? `${Math.round(bytes / 1e6)} MB` : `${(bytes / 1e9).toFixed(1)} GB`;
}

function secondsShown(seconds: number): string {
  if (seconds < 10) return `${seconds.toFixed(1)} s`;
  return seconds < 120 ? `${Math.round(seconds)} s` : `${Math.round(seconds / 60)} min`;
}
