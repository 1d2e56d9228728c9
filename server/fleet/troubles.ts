import type { FleetStatus } from "./status.ts";

/** All but what follows from it. */
export type FleetFacts = Omit<FleetStatus, "troubles">;
export type Trouble = FleetStatus["troubles"][number];

/** Lines that wait for longer are too many for the workers. */
const LATE_SECONDS = 30;

/** What is wrong with a fleet, worst first, each with what it means and what to do. */
export function troublesOf(facts: FleetFacts): readonly Trouble[] {
  const nats = natsTroubles(facts);
  // Who works and what waits is told by NATS.
  const isBlind = nats.some(({ strength }) => strength === "stop");
  return [...nats, ...storeTroubles(facts), ...(isBlind ? [] : workTroubles(facts)), ...asideTroubles(facts)];
}

/** Where no NATS server leads. */
function whatHelps(all: number, gone: number, names: string): string {
  if (gone === 0) {
    return "Wait ten seconds: after a start they have to choose. If it stays so, look at the routes between the NATS servers.";
  }
  return 2 * (all - gone) > all
    ? `Wait ten seconds: the one that led is gone, and the others choose anew. Start ${names} again.`
    : `Start ${names}. With two of three running it goes on by itself.`;
}

function natsTroubles({ nats: { servers, streams, by } }: FleetFacts): Trouble[] {
  const gone = servers.filter(({ answers }) => !answers);
  const names = listOf(gone.map(({ name, address }) => (name === null ? address : `${name} (${address})`)));
  if (gone.length === servers.length || by === null) {
    return [
      {
        strength: "stop",
        says: "No NATS server answers. Receivers are not acknowledged, so they keep what they hear and send it again; no recording is analysed.",
        nextStep: `Start the NATS servers (${names}), or look at the network between them and this computer. Nothing else has to be started again.`,
      },
    ];
  }
  const leaderless = (streams ?? []).filter(({ leader }) => leader === null);
  if (streams === null || leaderless.length > 0) {
    const isAll = streams === null || leaderless.length === streams.length;
    const what = isAll ? "what the fleet keeps" : listOf(leaderless.map(({ holds }) => holds));
    return [
      {
        strength: "stop",
        says: `There is no quorum for ${what}: fewer than two of three NATS servers agree who leads. Nothing is taken in until they do, and what receivers send is not acknowledged, so they keep it and send it again.`,
        nextStep: whatHelps(servers.length, gone.length, names),
      },
    ];
  }
  if (gone.length > 0) {
    const verb = gone.length === 1 ? "is" : "are";
    return [
      {
        strength: "look here",
        says: `${names} ${verb} gone. The others go on and nothing is lost, but if one more goes, nothing is taken in any more.`,
        nextStep: `Start ${gone.length === 1 ? "it" : "them"} again; what was missed is caught up without being asked.`,
      },
    ];
  }
  const behind = streams.flatMap(({ copies }) => copies.filter(({ state }) => state === "behind" || state === "gone"));
  if (behind.length > 0) {
    const who = listOf([...new Set(behind.map(({ server }) => server))]);
    return [
      {
        strength: "look here",
        says: `${who} ${new Set(behind.map(({ server }) => server)).size === 1 ? "is" : "are"} behind and being brought up to date.`,
        nextStep: "Wait before another NATS server is stopped, until all copies are current.",
      },
    ];
  }
  if (servers.length === 1) {
    return [
      {
        strength: "look here",
        says: "NATS is one server alone: what it keeps is on one disk.",
        nextStep: "Run three as a cluster where lines must not be lost with a disk.",
      },
    ];
  }
  return [];
}

function storeTroubles({ store }: FleetFacts): Trouble[] {
  if (store.answers) return [];
  return [
    {
      strength: "stop",
      says: "PostgreSQL is away. What receivers send is kept in NATS meanwhile and decoded later; pages show nothing new, and recordings wait.",
      nextStep: `${store.because ?? "Start PostgreSQL, or look at the network to it"}. The workers go on by themselves.`,
    },
  ];
}

function workTroubles({ members, lag, receivers }: FleetFacts): Trouble[] {
  const workers = members.filter(({ kind }) => kind === "worker");
  if (workers.length === 0) {
    return [
      {
        strength: "stop",
        says: `No worker runs${receivers.length > 0 ? ", so what receivers send is kept and not decoded" : ""}.`,
        nextStep: "Start one: wheelgram work --fleet … --store …, with the addresses of this server.",
      },
    ];
  }
  if ((lag.oldestLineSeconds ?? 0) > LATE_SECONDS) {
    return [
      {
        strength: "look here",
        says: `Lines wait for ${Math.round(lag.oldestLineSeconds ?? 0)} s before they are decoded: the workers do not keep up.`,
        nextStep: "Start one more worker; it takes its share by itself.",
      },
    ];
  }
  return [];
}

function asideTroubles({ aside }: FleetFacts): Trouble[] {
  if (aside.length === 0) return [];
  return [
    {
      strength: "look here",
      says: `${aside.length === 1 ? "One recording was" : `${aside.length} recordings were`} set aside after three tries; the rest went on.`,
      nextStep: "Read the reasons below, and try again once the cause is gone.",
    },
  ];
}

function listOf(names: readonly string[]): string {
  return names.length < 2 ? (names[0] ?? "") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}
