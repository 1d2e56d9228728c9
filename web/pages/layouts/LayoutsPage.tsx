import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import { type LayoutEntry, layouts } from "../../calls/layouts.ts";
import { useLoaded } from "../../loaded.ts";
import { airWords, carrierWords, originWords } from "../../model/layoutWords.ts";
import { counted } from "../../model/quantities.ts";
import { List } from "../../views/List.tsx";
import { Page } from "../../views/Page.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { InTheWorkshop } from "./InTheWorkshop.tsx";
import { PutOnShelf } from "./PutOnShelf.tsx";

/** The shelf: how each kind of sensor sends and what its bits mean. */
export function LayoutsPage(): JSX.Element {
  const loaded = useLoaded("layouts", layouts);
  const [adding, setAdding] = useState(false);
  return (
    <Page
      title="Layouts"
      lead="How a kind of sensor sends, and what its bits mean. Those of the house are invented: a harbour town that does not exist."
    >
      {adding ? (
        <PutOnShelf onClose={() => setAdding(false)} onAdded={loaded.reload} />
      ) : (
        <p>
          <button type="button" class="button main" onClick={() => setAdding(true)}>
            Put a file on the shelf
          </button>
        </p>
      )}
      <Waiting loaded={loaded} what="the layouts">
        {(all) => (
          <List
            label="Layouts"
            class="rows"
            items={all}
            keyOf={({ id }) => id}
            empty={{
              says: "The shelf is empty, so bursts are measured but none can be read.",
              action: { label: "Put a file on the shelf", onClick: () => setAdding(true) },
            }}
          >
            {(entry) => <Entry entry={entry} />}
          </List>
        )}
      </Waiting>
      <InTheWorkshop />
    </Page>
  );
}

function Entry({ entry }: { readonly entry: LayoutEntry }): JSX.Element {
  const { layout, version } = entry;
  const checks = layout.checks.length === 0 ? "no check: stays unverified" : counted(layout.checks.length, "check");
  return (
    <a class="row row-layout" href={`/layouts/${entry.id}`}>
      <span class="row-title">
        {layout.title}
        <span class="row-sub fixed-width">
          {entry.id}
          {version > 1 ? `@${version}` : ""}
        </span>
      </span>
      <span class="row-text">
        {carrierWords(layout)}, {airWords(layout)}
        <span class="row-sub">
          {counted(layout.bits, "bit")}, {counted(layout.fields.length, "field")}, {checks}
        </span>
      </span>
      <span class="row-when">{entry.builtin ? "of the house" : sentence(originWords(layout))}</span>
    </a>
  );
}
