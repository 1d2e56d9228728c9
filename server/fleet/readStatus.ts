import type { NatsConnection, StreamInfo } from "nats";
import type { Store } from "../store/store.ts";
import { listAside } from "./aside.ts";
import { pause } from "./connect.ts";
import { homeSetting } from "./home.ts";
import { readLineState } from "./lineState.ts";
import { readMember } from "./members.ts";
import { PARTITIONS, partitionOf, partitionSubject } from "./partitions.ts";
import { probeNats } from "./probe.ts";
import type { FleetStatus, StreamStatus } from "./status.ts";
import { type FleetStreams, LINES, WORK, WORKERS } from "./streams.ts";
import { type FleetFacts, troublesOf } from "./troubles.ts";

export interface StatusSources {
  /** As `--fleet` names them, each as `HOST:PORT`. */
  readonly servers: readonly string[];
  /** `undefined`: no server answers, or no quorum. */
  readonly nats: { readonly connection: NatsConnection; readonly streams: FleetStreams } | undefined;
  /** Or why there is none. */
  readonly store: Pick<Store, "receivers" | "receiverStates" | "setting"> | string;
  /** Milliseconds since 1970. */
  readonly now: () => number;
}

/** For each part; what does not answer by then is not known. */
const LONGEST_MS = 1500;
const HOLDS: readonly (readonly [stream: string, holds: string])[] = [
  [LINES, "lines of receivers"],
  [WORK, "the work queue"],
  ["OBJ_wheelgram-recordings", "recordings"],
  ["OBJ_wheelgram-results", "results"],
  ["KV_wheelgram-aside", "what is set aside"],
  ["KV_wheelgram-members", "who is there"],
  ["KV_wheelgram-orders", "what is asked for"],
];

/** How a fleet stands. Never rejects: what does not answer is part of what is told. */
export async function readFleetStatus(sources: StatusSources): Promise<FleetStatus> {
  const { now, nats } = sources;
  const [servers, streams, stored] = await Promise.all([
    Promise.all(sources.servers.map(async (address) => ({ address, hello: await probeNats(address) }))),
    nats && within(streamsOf(nats.streams)),
    storedOf(sources.store),
  ]);
  for (const { address, hello } of servers) if (hello) remember(sources.servers, address, hello.name);
  const [members, aside, work, lines] = await Promise.all([
    nats && within(membersOf(nats.streams)),
    nats && within(listAside(nats.streams)),
    nats && within(workOf(nats.streams, now)),
    nats && streams && stored.positions && within(linesOf(nats.streams, now, stored.positions)),
  ]);
  const isConnected = nats !== undefined && !nats.connection.isClosed() && servers.some(({ hello }) => hello);
  nameTheGone(sources.servers, servers, streams ?? []);
  const gone = new Set(
    servers.flatMap(({ address, hello }) => (hello ? [] : [nameOf(sources.servers, address) ?? ""])),
  );
  const facts: FleetFacts = {
    at: new Date(now()).toISOString(),
    nats: {
      by: isConnected ? nats.connection.getServer() : (servers.find(({ hello }) => hello)?.address ?? null),
      servers: servers.map(({ address, hello }) => ({
        address,
        name: hello?.name ?? nameOf(sources.servers, address),
        version: hello?.version ?? null,
        answers: hello !== undefined,
        leads: hello && streams ? streams.filter(({ leader }) => leader === hello.name).length : null,
      })),
      streams: streams?.map((stream) => withoutGone(stream, gone)) ?? null,
    },
    store: { answers: stored.because === null, because: stored.because },
    receivers: stored.receivers,
    members: members ?? [],
    lag: {
      lines: lines?.count ?? null,
      oldestLineSeconds: lines?.oldestSeconds ?? null,
      work: work?.waiting ?? null,
      workRunning: work?.running ?? null,
      oldestWorkSeconds: work?.oldestSeconds ?? null,
    },
    aside: (aside ?? []).map(({ task: _, ...entry }) => entry),
  };
  return { ...facts, troubles: [...troublesOf(facts)] };
}

/** Names that servers said before they went. */
const names = new WeakMap<readonly string[], Map<string, string>>();

function remember(of: readonly string[], address: string, name: string): void {
  const known = names.get(of) ?? new Map<string, string>();
  names.set(of, known.set(address, name));
}

/** Where one address does not answer and one name that copies have is nobody's, the name is that one's. */
function nameTheGone(
  of: readonly string[],
  servers: readonly { readonly address: string; readonly hello: unknown }[],
  streams: readonly StreamStatus[],
): void {
  const unnamed = servers.filter(({ address, hello }) => !hello && nameOf(of, address) === null);
  const known = new Set(names.get(of)?.values());
  const free = [...new Set(streams.flatMap(({ copies }) => copies.map(({ server }) => server)))].filter(
    (name) => !known.has(name),
  );
  const [[one], [name]] = [unnamed, free];
  if (one && name !== undefined && unnamed.length === 1 && free.length === 1) remember(of, one.address, name);
}

/** The cluster notices later than we do that a server is gone. */
function withoutGone(stream: StreamStatus, gone: ReadonlySet<string>): StreamStatus {
  const copies = stream.copies.map((copy) => (gone.has(copy.server) ? { ...copy, state: "gone" as const } : copy));
  return { ...stream, leader: stream.leader !== null && gone.has(stream.leader) ? null : stream.leader, copies };
}

function nameOf(of: readonly string[], address: string): string | null {
  return names.get(of)?.get(address) ?? null;
}

/** `undefined`: it failed, or took too long. */
async function within<T>(asked: Promise<T>): Promise<T | undefined> {
  return Promise.race([asked.catch(() => undefined), pause(LONGEST_MS).then(() => undefined)]);
}

async function streamsOf({ manager }: FleetStreams): Promise<StreamStatus[]> {
  const all = await Promise.all(
    HOLDS.map(async ([name, holds]) => {
      const info = await manager.streams.info(name).catch(() => undefined);
      return info && statusOf(info, holds);
    }),
  );
  const there = all.filter((one) => one !== undefined);
  if (there.length === 0) throw new Error("JetStream does not answer.");
  return there;
}

function statusOf({ config, state, cluster }: StreamInfo, holds: string): StreamStatus {
  const leader = cluster?.leader ?? (cluster === undefined ? "the one server" : null);
  const others = (cluster?.replicas ?? []).map(({ name, current, offline, lag }) => ({
    server: name,
    state: offline ? ("gone" as const) : current ? ("current" as const) : ("behind" as const),
    behind: lag ?? 0,
  }));
  return {
    name: config.name,
    holds,
    leader,
    copies: [...(leader === null ? [] : [{ server: leader, state: "leads" as const, behind: 0 }]), ...others],
    messages: state.messages,
    bytes: state.bytes,
  };
}

/** The client's own list of keys leaves out those that are written anew while it is made, as heartbeats are. */
async function membersOf({ manager, members }: FleetStreams): Promise<FleetStatus["members"]> {
  const { state } = await manager.streams.info("KV_wheelgram-members", { subjects_filter: ">" });
  const keys = Object.keys(state.subjects ?? {}).map((subject) => subject.slice("$KV.wheelgram-members.".length));
  const found = await Promise.all(keys.map((key) => members.get(key)));
  const all = found.flatMap((entry) => {
    const member = entry?.operation === "PUT" ? readMember(entry.string()) : undefined;
    return member ? [member] : [];
  });
  return all.sort((a, b) => `${a.kind}${a.name}`.localeCompare(`${b.kind}${b.name}`, "en"));
}

async function workOf({ manager }: FleetStreams, now: () => number) {
  const { num_pending, num_ack_pending, ack_floor } = await manager.consumers.info(WORK, WORKERS);
  if (num_pending + num_ack_pending === 0) return { waiting: 0, running: 0, oldestSeconds: null };
  const oldest = await manager.streams
    .getMessage(WORK, { seq: ack_floor.stream_seq + 1, next_by_subj: "wheelgram.work.>" } as never)
    .catch(() => undefined);
  const oldestSeconds = oldest ? (now() - oldest.time.getTime()) / 1000 : null;
  return { waiting: num_pending, running: num_ack_pending, oldestSeconds };
}

interface Stored {
  readonly because: string | null;
  readonly receivers: FleetStatus["receivers"];
  /** By partition; `undefined` where the store does not answer. */
  readonly positions: readonly number[] | undefined;
}

async function storedOf(store: StatusSources["store"]): Promise<Stored> {
  if (typeof store === "string") return { because: store, receivers: [], positions: undefined };
  try {
    const asked = async () => {
      const receivers = await store.receivers();
      const states = await Promise.all(Array.from({ length: PARTITIONS }, (_, i) => readLineState(store, i)));
      const shown = await Promise.all(
        receivers.map(async ({ id, name }) => ({
          id,
          name,
          home: (await store.setting(homeSetting(id))) ?? null,
          state: (await store.receiverStates(id, FAR_AHEAD)).at(-1)?.state ?? null,
          lastHeardAt: states[partitionOf(id)]?.last[id] ?? null,
        })),
      );
      return { because: null, receivers: shown, positions: states.map(({ position }) => position) };
    };
    const late = pause(2 * LONGEST_MS).then(() => Promise.reject(new Error("it does not answer")));
    return await Promise.race([asked(), late]);
  } catch (error) {
    const because = error instanceof Error ? error.message.replace(/\.$/, "") : String(error);
    return { because, receivers: [], positions: undefined };
  }
}

/** What held at that moment is what holds now. */
const FAR_AHEAD = "9999-01-01T00:00:00Z";

async function linesOf({ manager }: FleetStreams, now: () => number, positions: readonly number[]) {
  const { state } = await manager.streams.info(LINES);
  const waiting = await Promise.all(
    positions.map(async (position, partition) => {
      if (state.last_seq <= position) return undefined;
      const asked = { seq: position + 1, next_by_subj: partitionSubject(partition) };
      return manager.streams.getMessage(LINES, asked as never).catch(() => undefined);
    }),
  );
  const oldest = waiting.filter((one) => one !== undefined && one !== null).sort((a, b) => a.seq - b.seq)[0];
  if (!oldest) return { count: 0, oldestSeconds: null };
  return { count: state.last_seq - oldest.seq + 1, oldestSeconds: (now() - oldest.time.getTime()) / 1000 };
}
