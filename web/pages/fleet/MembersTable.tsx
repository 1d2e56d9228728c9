import type { JSX } from "preact";
import { type FleetNow, isTold } from "../../model/fleetWords.ts";
import { agoShown, timeShown } from "../../model/times.ts";
import { Table } from "../../views/Table.tsx";

/** Servers and workers that were heard of within the last seconds. */
export function MembersTable({ now }: { readonly now: FleetNow }): JSX.Element {
  return (
    <section aria-labelledby="members">
      <h2 id="members">Servers and workers</h2>
      <Table
        caption="Heard of within the last ten seconds; a partition is a share of the receivers, 64 in all"
        rows={now.members}
        keyOf={({ kind, name }) => `${kind} ${name}`}
        empty={{
          says: isTold(now) ? "None was heard of lately." : "Not known: NATS does not tell at the moment.",
          action: { label: "Receivers", href: "/receivers" },
        }}
        columns={[
          { name: "Name", cell: ({ name }) => name },
          { name: "Is", cell: ({ kind, version }) => `${kind}, version ${version}` },
          { name: "Since", cell: ({ since }) => timeShown(since) },
          {
            name: "Partitions",
            cell: ({ kind, partitions }) => (kind === "worker" ? partitions.length : "–"),
            figures: true,
          },
          {
            name: "Busy with",
            cell: ({ kind, busy }) => (busy.length > 0 ? busy.join(", ") : kind === "worker" ? "nothing" : "–"),
          },
        ]}
      />
    </section>
  );
}

/** All receivers of the fleet, each at its server. */
export function ReceiversTable({ now }: { readonly now: FleetNow }): JSX.Element {
  const nowMs = Date.parse(now.at);
  return (
    <section aria-labelledby="receivers">
      <h2 id="receivers">Receivers</h2>
      <Table
        caption="Of all servers; a receiver belongs to the server where it was set up"
        rows={now.receivers}
        keyOf={({ id }) => id}
        empty={{
          says: now.store.answers ? "No receiver is set up." : "Not known while PostgreSQL is away.",
          action: { label: "Receivers", href: "/receivers" },
        }}
        columns={[
          { name: "Name", cell: ({ name }) => name },
          { name: "At", cell: ({ home }) => home ?? "no server yet" },
          { name: "State", cell: ({ state }) => state ?? "never connected" },
          {
            name: "Last line stored",
            cell: ({ lastHeardAt }) => (lastHeardAt === null ? "none yet" : agoShown(lastHeardAt, nowMs)),
          },
        ]}
      />
    </section>
  );
}
