import type { JSX } from "preact";
import type { QuarantineBody, ReceiverBody } from "../../../server/http/wire.ts";
import type { Loaded } from "../../loaded.ts";
import { timeShown } from "../../model/times.ts";
import { Table } from "../../views/Table.tsx";
import { Waiting } from "../../views/Waiting.tsx";

interface QuarantineProps {
  readonly loaded: Loaded<readonly QuarantineBody[]>;
  readonly names: readonly ReceiverBody[];
}

/** Lines that did not fit. They are kept as they came, and answered with why. */
export function Quarantine({ loaded, names }: QuarantineProps): JSX.Element {
  return (
    <section aria-labelledby="quarantine">
      <h2 id="quarantine">Lines that did not fit</h2>
      <Waiting loaded={loaded} what="the lines that did not fit">
        {(lines) => (
          <Table
            caption="Newest first; each was kept as it came, and its receiver was told why"
            rows={lines}
            keyOf={({ id }) => id}
            empty={{
              says: "Every line that came in did fit.",
              action: { label: "See what a line looks like", href: "/help/api" },
            }}
            columns={[
              { name: "When", cell: ({ at }) => timeShown(at) },
              {
                name: "Receiver",
                cell: ({ receiverId }) => names.find(({ id }) => id === receiverId)?.name ?? "removed",
              },
              { name: "Key", cell: ({ path }) => <code>{path === "" ? "the whole line" : path}</code> },
              { name: "Why", cell: ({ because }) => because },
              { name: "The line", cell: ({ text }) => <code class="bits">{text}</code> },
            ]}
          />
        )}
      </Waiting>
    </section>
  );
}
