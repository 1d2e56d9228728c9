import type { FleetStatus, StreamStatus } from "./status.ts";

/** How a fleet stands, as lines for a terminal. @param nowMs Since 1970. */
export function fleetLines(status: FleetStatus, nowMs: number): readonly string[] {
  const { troubles, nats, store, receivers, members, aside } = status;
  const servers = nats.servers.map(({ address, name, version, answers, leads }) => [
    name ?? "?",
    address,
    answers ? `answers${version === null ? "" : `, ${version}`}` : "GONE",
    leads === null ? "" : `leads ${leads}`,
  ]);
  const heard = receivers.map(({ name, home, state, lastHeardAt }) => [
    name,
    home ?? "no home",
    state ?? "never connected",
    lastHeardAt === null ? "never heard" : `heard ${ago(lastHeardAt, nowMs)}`,
  ]);
  const who = members.map(({ kind, name, since, partitions, busy }) => [
    name,
    kind,
    `since ${ago(since, nowMs)}`,
    kind === "worker" ? `${partitions.length} partitions` : "",
    busy.length === 0 ? (kind === "worker" ? "free" : "") : busy.join(", "),
  ]);
  const setAside = aside.map(({ id, name, tries, because, at, worker }) => [
    id.slice(0, 12),
    name,
    `${tries} tries, ${ago(at, nowMs)}, last on ${worker}`,
    because,
  ]);
  return [
    ...(troubles.length === 0
      ? ["All is well."]
      : troubles.flatMap(({ strength, says, nextStep }) => [`${MARKS[strength]} ${says}`, `  ${nextStep}`])),
    ...part("NATS servers", servers),
    ...part("Streams", (nats.streams ?? []).map(streamRow), "not known: there is no quorum"),
    ...part("PostgreSQL", [[store.answers ? "answers" : `AWAY: ${store.because ?? "no answer"}`]]),
    ...part("Lag", lagRows(status)),
    ...part("Receivers", heard, store.answers ? "none is set up" : "not known"),
    ...part("Servers and workers", who, "none was heard of lately"),
    ...part("Set aside", setAside, nats.streams === null ? "not known" : "nothing"),
    ...(setAside.length === 0 ? [] : ["", "To try one again: wheelgram fleet --again ID, with the same addresses."]),
  ];
}

const MARKS = { "look here": "▲", stop: "■" } as const;

function streamRow({ name, holds, leader, copies, messages, bytes }: StreamStatus): string[] {
  const others = copies.filter(({ state }) => state !== "leads");
  return [
    holds,
    leader === null ? "NO LEADER" : `led by ${leader}`,
    others.length === 0
      ? "one copy"
      : others.map(({ server, state, behind }) => `${server} ${behind > 0 ? `${behind} behind` : state}`).join(", "),
    `${messages} messages, ${(bytes / 1e6).toFixed(1)} MB`,
    name,
  ];
}

function lagRows({ lag }: FleetStatus): string[][] {
  const wait = (seconds: number | null) => (seconds === null ? "" : `oldest ${seconds.toFixed(1)} s`);
  return [
    ["lines", lag.lines === null ? "not known" : `${lag.lines} messages wait at most`, wait(lag.oldestLineSeconds)],
    [
      "work",
      lag.work === null ? "not known" : `${lag.work} wait, ${lag.workRunning ?? 0} under way`,
      wait(lag.oldestWorkSeconds),
    ],
  ];
}

/** @param none Stands where there are no rows. */
function part(title: string, rows: readonly (readonly string[])[], none = ""): string[] {
  if (rows.length === 0) return ["", title, `  ${none}`];
  const widths = (rows[0] ?? []).map((_, i) => Math.max(...rows.map((row) => row[i]?.length ?? 0)));
  return [
    "",
    title,
    ...rows.map(
      (row) =>
        `  ${row
          .map((cell, i) => cell.padEnd(widths[i] ?? 0))
          .join("  ")
          .trimEnd()}`,
    ),
  ];
}

function ago(at: string, nowMs: number): string {
  const seconds = Math.max(0, Math.round((nowMs - Date.parse(at)) / 1000));
  if (seconds < 90) return `${seconds} s ago`;
  if (seconds < 90 * 60) return `${Math.round(seconds / 60)} min ago`;
  if (seconds < 36 * 3600) return `${Math.round(seconds / 3600)} h ago`;
  return `${Math.round(seconds / 86400)} days ago`;
}
