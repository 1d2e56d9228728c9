import type { JSX } from "preact";
import { sentence } from "../../../decoders/words.ts";
import { type LayoutEntry, layoutVersions } from "../../calls/layouts.ts";
import { useLoaded } from "../../loaded.ts";
import { stretchesOf } from "../../model/fieldRuler.ts";
import {
  airWords,
  bitsRange,
  bitsWords,
  carrierWords,
  checkWords,
  formulaWords,
  originWords,
} from "../../model/layoutWords.ts";
import { counted, listed } from "../../model/quantities.ts";
import { timeShown } from "../../model/times.ts";
import { Empty } from "../../views/Empty.tsx";
import { FieldRuler } from "../../views/FieldRuler.tsx";
import { List } from "../../views/List.tsx";
import { lazily } from "../../views/lazily.tsx";
import { Page } from "../../views/Page.tsx";
import { Table } from "../../views/Table.tsx";
import { Waiting } from "../../views/Waiting.tsx";

const LayoutProof = lazily(() => import("./LayoutProof.tsx").then((part) => part.LayoutProof));

interface LayoutPageProps {
  readonly id: string;
  /** `undefined`: the newest. */
  readonly version: number | undefined;
}

/** One layout: its frame as a ruler, its fields with their formulas, its checks in words, its versions. */
export function LayoutPage({ id, version }: LayoutPageProps): JSX.Element {
  const loaded = useLoaded(`layout ${id}`, () => layoutVersions(id));
  const versions = loaded.state === "there" ? loaded.value : [];
  const entry = version === undefined ? versions.at(-1) : versions.find((one) => one.version === version);
  return (
    <Page
      title={entry?.layout.title ?? id}
      lead={<span class="fixed-width">{entry ? `${id}@${entry.version}` : id}</span>}
      margin={entry && <Margin entry={entry} versions={versions} />}
    >
      <Waiting loaded={loaded} what={`layout ${id}`}>
        {() =>
          entry === undefined ? (
            <Empty
              says={`The shelf has no version ${version ?? ""} of ${id}.`}
              action={{ label: "See the newest version", href: `/layouts/${id}` }}
            />
          ) : (
            <>
              <LayoutBody entry={entry} />
              <LayoutProof entry={entry} versions={versions} />
            </>
          )
        }
      </Waiting>
    </Page>
  );
}

function LayoutBody({ entry: { layout } }: { readonly entry: LayoutEntry }): JSX.Element {
  const stretches = stretchesOf(layout);
  const keyAt = new Map(stretches.map((stretch) => [stretch.at, stretch.key]));
  const bare = stretches.filter(({ kind }) => kind === "unassigned").map(({ at, bits }) => bitsWords(at, bits));
  return (
    <>
      {layout.notes !== undefined && <p>{layout.notes}</p>}
      <section aria-labelledby="frame">
        <h2 id="frame">
          A frame of {counted(layout.bits, "bit")}
          {bare.length === 0 ? "" : `; ${listed(bare)} named by nothing`}
        </h2>
        <FieldRuler stretches={stretches} />
      </section>
      <section aria-labelledby="fields">
        <h2 id="fields">Fields</h2>
        <Table
          caption="In the order of the frame"
          rows={layout.fields.toSorted((a, b) => a.at - b.at)}
          keyOf={({ name }) => name}
          empty={{
            says: "This layout names no field: its telegrams are bits and no more.",
            action: { label: "Back to the shelf", href: "/layouts" },
          }}
          columns={[
            { name: "No.", figures: true, cell: ({ at }) => keyAt.get(at) ?? "" },
            { name: "Field", cell: ({ name }) => name },
            { name: "Bits", cell: ({ at, bits }) => <span class="whole">{bitsRange(at, bits)}</span> },
            { name: "What it is", cell: (field) => field.quantity ?? field.type },
            { name: "Formula", cell: formulaWords },
          ]}
        />
      </section>
      <section aria-labelledby="checks">
        <h2 id="checks">Checks</h2>
        <List
          label="Checks"
          items={layout.checks}
          keyOf={({ at }) => String(at)}
          empty={{
            says: "This layout has no check: whatever is read by it stays unverified.",
            action: { label: "Back to the shelf", href: "/layouts" },
          }}
        >
          {(check) => (
            <p>
              {keyAt.get(check.at)}. {checkWords(check)}
            </p>
          )}
        </List>
      </section>
    </>
  );
}

function Margin(props: { readonly entry: LayoutEntry; readonly versions: readonly LayoutEntry[] }): JSX.Element {
  const { layout } = props.entry;
  return (
    <>
      <h2>On air</h2>
      <p>
        {carrierWords(layout)}, {airWords(layout)}.
      </p>
      <p>
        Begins with {layout.preamble.repeat} × <code>{layout.preamble.symbols}</code>, then the sync{" "}
        <code class="bits">{layout.sync.symbols}</code>.
      </p>
      {layout.repeats && (
        <p>
          Sent {layout.repeats.count} times, {Math.round(layout.repeats.gapSeconds * 1000)} ms apart.
        </p>
      )}
      {layout.whitening && (
        <p>
          Whitened: polynomial <code>{layout.whitening.poly}</code>, seed <code>{layout.whitening.seed}</code>.
        </p>
      )}
      <h2>Where it comes from</h2>
      <p>{sentence(originWords(layout))}.</p>
      <h2>Versions</h2>
      <ul class="list" aria-label="Versions">
        {props.versions.map(({ id, version, addedAt, builtin }) => (
          <li key={version}>
            <a href={`/layouts/${id}@${version}`} aria-current={version === props.entry.version ? "page" : undefined}>
              Version {version}
            </a>
            {addedAt === null ? (builtin ? ", of the house" : "") : `, ${timeShown(addedAt)}`}
          </li>
        ))}
      </ul>
    </>
  );
}
