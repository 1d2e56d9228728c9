import type { JSX } from "preact";
import { bytesShown, copiesWords, type FleetNow, isSound, serverWords } from "../../model/fleetWords.ts";
import { Mark } from "../../views/Mark.tsx";
import { Table } from "../../views/Table.tsx";

/** The NATS servers, and who of them keeps what. */
export function NatsTables({ now: { nats } }: { readonly now: FleetNow }): JSX.Element {
  const action = { label: "Recordings", href: "/recordings" };
  return (
    <section aria-labelledby="nats">
      <h2 id="nats">NATS servers</h2>
      <Table
        caption={nats.by === null ? "None answers" : `This server of Wheelgram asks ${nats.by}`}
        rows={nats.servers}
        keyOf={({ address }) => address}
        empty={{ says: "None is named.", action }}
        columns={[
          { name: "Name", cell: ({ name }) => name ?? "not known" },
          { name: "Address", cell: ({ address }) => <code>{address}</code> },
          {
            name: "State",
            cell: (server) =>
              server.answers ? serverWords(server) : <Mark strength="look here" words={serverWords(server)} />,
          },
          { name: "Version", cell: ({ version }) => version ?? "–" },
        ]}
      />
      <h3>What they keep</h3>
      <Table
        caption="Each thing is led by one server, and taken in once most of its copies have it"
        rows={nats.streams ?? []}
        keyOf={({ name }) => name}
        empty={{ says: "Not known: fewer than two of three servers agree, so none of them tells.", action }}
        columns={[
          { name: "What", cell: ({ holds }) => holds },
          {
            name: "Led by",
            cell: ({ leader }) => leader ?? <Mark strength="stop" words="nobody" />,
          },
          {
            name: "Other copies",
            cell: (stream) =>
              isSound(stream) ? copiesWords(stream) : <Mark strength="look here" words={copiesWords(stream)} />,
          },
          { name: "Messages", cell: ({ messages }) => messages, figures: true },
          { name: "Size", cell: ({ bytes }) => bytesShown(bytes), figures: true },
        ]}
      />
    </section>
  );
}
