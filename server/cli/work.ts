import { homedir, hostname } from "node:os";
import { join } from "node:path";
import type { FleetAddress } from "../fleet/address.ts";
import type { LineWork } from "../fleet/lineWork.ts";
import type { WorkQueue } from "../fleet/workQueue.ts";
import { createStamps } from "../receivers/stamps.ts";
import { StoreError } from "../store/storeError.ts";
import { collectHere } from "../work/collector.ts";
import { createPool } from "../work/pool.ts";
import type { Desk, Status } from "./desk.ts";
import { isTerminal } from "./streams.ts";
import { VERSION } from "./version.ts";

export interface WorkArguments {
  readonly fleet: FleetAddress;
  readonly store: string;
  readonly workers?: number;
  readonly name?: string;
  readonly cache?: string;
  readonly cacheGigabytes: number;
}

/**
 * `wheelgram work`: decodes for a fleet, until it is interrupted.
 *
 * @returns 130 if interrupted, 0 if it was told to end, 1 if it could not begin, 2 for an address that is none.
 */
export async function work(desk: Desk, given: WorkArguments): Promise<Status> {
  const { complain, streams } = desk;
  // Only here, and where a server is one of a fleet: one machine alone loads none of it.
  const { openFleet } = await import("../fleet/openFleet.ts");
  const { FleetError } = await import("../fleet/fleetError.ts");
  const { joinMembers, memberName } = await import("../fleet/members.ts");
  const { startLineWork } = await import("../fleet/lineWork.ts");
  const { startWorkQueue } = await import("../fleet/workQueue.ts");
  const ending = new AbortController();
  const ended = Promise.race([
    streams.interrupted.then((): Status => 130),
    streams.terminated?.().then((): Status => 0) ?? new Promise<never>(() => undefined),
  ]);
  void ended.then(() => ending.abort());
  const name = given.name ?? memberName(`${hostname()}-${process.pid}`);
  const opening = { address: given.fleet, storeAddress: given.store, name, say: complain, signal: ending.signal };
  let unreadable = false;
  const fleet = await openFleet(opening).catch((error: unknown) => {
    if (!(error instanceof StoreError || error instanceof FleetError)) throw error;
    complain(`wheelgram: ${error.message}`);
    unreadable = error instanceof StoreError && error.file === "--store";
    return "refused" as const;
  });
  if (fleet === "refused") return unreadable ? 2 : 1;
  if (!fleet) return ended;
  const stamp = createStamps(Date.now);
  const since = stamp();
  collectHere();
  const pool = createPool(given.workers);
  let lines: LineWork | undefined;
  let queue: WorkQueue | undefined;
  const members = joinMembers(fleet.streams.members, () => ({
    kind: "worker",
    name,
    since,
    version: VERSION,
    partitions: [...(lines?.partitions() ?? [])],
    busy: (queue?.busyWith() ?? []).map(({ what }) => what),
    counts: { ...lines?.counts(), recordings: queue?.done() ?? 0 },
  }));
  const workers = () => members.alive().filter(({ kind }) => kind === "worker").length;
  lines = await startLineWork({ ...fleet, pool, stamp, workers, say: complain });
  queue = await startWorkQueue({
    ...fleet,
    threads: pool.size,
    cacheFolder: given.cache ?? cacheOf(name),
    cacheBytes: given.cacheGigabytes * 1e9,
    now: Date.now,
    log: (entry) => complain(`wheelgram: ${entry}`),
  });
  await desk.write(`Worker ${name} decodes for the fleet at ${given.fleet.shown}\n`);
  if (isTerminal(streams.stdout)) complain("Ctrl-C ends it; what it has in hand goes to the others.");
  const status = await ended;
  await Promise.all([lines.stop(), queue.stop()]);
  await members.stop();
  await pool.stop();
  await fleet.close();
  return status;
}

/** Of this worker alone: two on one machine have two names. */
function cacheOf(name: string): string {
  return join(process.env["XDG_CACHE_HOME"] ?? join(homedir(), ".cache"), "wheelgram", name);
}
