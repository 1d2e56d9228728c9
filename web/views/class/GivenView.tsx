import type { JSX } from "preact";
import type { ShownBody } from "../../../server/http/wire/exercises.ts";
import { Table } from "../Table.tsx";
import { SignalPicture } from "./SignalPicture.tsx";

/** Something that an exercise gives: a text, a table, symbols or a signal. */
export function GivenView({ given }: { readonly given: ShownBody }): JSX.Element {
  switch (given.kind) {
    case "text":
      return <p class="given-text">{given.says}</p>;
    case "table":
      return <GivenTable {...given} />;
    case "symbols":
      return (
        <figure class="given">
          <figcaption class="caption">{given.caption}</figcaption>
          <p class="symbols fixed-width">
            {given.groups.map((group, i) => (
              <span key={i}>{group} </span>
            ))}
          </p>
        </figure>
      );
    case "signal":
      return <SignalPicture caption={given.caption} picture={given.picture} frequency={given.frequency} />;
  }
}

interface GivenRow {
  readonly cells: readonly string[];
  readonly i: number;
}

function GivenTable({ caption, head, rows }: Extract<ShownBody, { kind: "table" }>): JSX.Element {
  if (rows.length === 0) return <p class="given-text">{caption}: there is nothing in it.</p>;
  return (
    <Table
      caption={caption}
      rows={rows.map((cells, i): GivenRow => ({ cells, i }))}
      keyOf={({ i }) => String(i)}
      empty={{ says: "There is nothing in it.", action: { label: "All sets", href: "/class" } }}
      columns={head.map((name, at) => ({ name, cell: ({ cells }: GivenRow) => cells[at] ?? "" }))}
    />
  );
}
