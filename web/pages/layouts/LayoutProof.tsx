import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { type FrameVerdict, frameVerdict, testsHeldTo } from "../../../decoders/workshop/testFrames.ts";
import type { LayoutEntry } from "../../calls/layouts.ts";
import { layoutDifferences } from "../../model/layoutDifference.ts";
import { unitAfter } from "../../model/layoutWords.ts";
import { counted, figure } from "../../model/quantities.ts";
import { PickOne } from "../../views/Fields.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Table } from "../../views/Table.tsx";

interface LayoutProofProps {
  readonly entry: LayoutEntry;
  readonly versions: readonly LayoutEntry[];
}

/** Bursts that the layout is held to, and in what its versions differ. */
export function LayoutProof({ entry, versions }: LayoutProofProps): JSX.Element {
  // A later version is held to what every earlier one was put here with.
  const tests = testsHeldTo(versions.filter(({ version }) => version <= entry.version).map((one) => one.tests));
  const rows = tests.map((test, i) => ({ test, number: i + 1, verdict: frameVerdict(entry.layout, test) }));
  const same = rows.filter(({ verdict }) => verdict.outcome === "same").length;
  return (
    <>
      <section aria-labelledby="tests">
        <h2 id="tests">Test frames</h2>
        {rows.length === 0 ? (
          <p>
            {entry.builtin
              ? "Those of the house are held to the scenarios that its samples are made of."
              : "None came with its file, so that nobody can see here whether it reads what it should."}
          </p>
        ) : (
          <>
            <p>
              {same === rows.length
                ? `All ${rows.length} are read as they were when they came on the shelf.`
                : `${same} of ${rows.length} are read as they were when they came on the shelf.`}
            </p>
            <Table
              caption="Bursts as they were received, and what was read in them"
              rows={rows}
              keyOf={({ number }) => String(number)}
              empty={{ says: "No test frame.", action: { label: "Back to the shelf", href: "/layouts" } }}
              columns={[
                { name: "From", cell: ({ test }) => <span class="fixed-width">{test.from}</span> },
                { name: "Symbols", figures: true, cell: ({ test }) => String(test.symbolCount) },
                {
                  name: "Symbols/s",
                  figures: true,
                  cell: ({ test }) => figure(test.symbolRate, 0),
                },
                { name: "Expected", cell: ({ test }) => valuesWords(test.values, entry.layout) },
                { name: "Read by this version", cell: ({ verdict }) => <Verdict verdict={verdict} /> },
              ]}
            />
          </>
        )}
      </section>
      {versions.length > 1 && <Differences entry={entry} versions={versions} />}
    </>
  );
}

function valuesWords(
  values: Readonly<Record<string, number | string | boolean | null>>,
  { fields }: LayoutEntry["layout"],
): string {
  return Object.entries(values)
    .map(([name, value]) => {
      const words = value === true ? "yes" : value === false ? "no" : (value ?? "not told");
      return `${name} ${words}${unitAfter(fields, name)}`;
    })
    .join(", ");
}

function Verdict({ verdict }: { readonly verdict: FrameVerdict }): JSX.Element {
  if (verdict.outcome === "same") return <>the same</>;
  const words = verdict.outcome === "not read" ? "not read" : `differs: ${verdict.fields.join(", ")}`;
  return <Mark strength="look here" words={words} />;
}

/** This version beside another one. */
function Differences({ entry, versions }: LayoutProofProps): JSX.Element {
  const others = versions.filter(({ version }) => version !== entry.version);
  const before = others.findLast(({ version }) => version < entry.version) ?? others[0]!;
  const [chosen, setChosen] = useState<string>();
  const other = others.find(({ version }) => String(version) === chosen) ?? before;
  const [old, now] = other.version < entry.version ? [other, entry] : [entry, other];
  const rows = layoutDifferences(old.layout, now.layout);
  return (
    <section aria-labelledby="differences">
      <h2 id="differences">In what versions differ</h2>
      {others.length > 1 && (
        <PickOne
          label={`Version ${entry.version} beside`}
          value={String(other.version)}
          options={others.map(({ version }) => [String(version), `version ${version}`] as const)}
          onChange={setChosen}
        />
      )}
      {rows.length === 0 ? (
        <p>
          Versions {old.version} and {now.version} are the same.
        </p>
      ) : (
        <Table
          caption={`${counted(rows.length, "difference")} between version ${old.version} and version ${now.version}`}
          rows={rows}
          keyOf={({ what }) => what}
          empty={{ says: "They are the same.", action: { label: "Back to the shelf", href: "/layouts" } }}
          columns={[
            { name: "What", cell: ({ what }) => what },
            { name: `Version ${old.version}`, cell: ({ before: was }) => <Side text={was} /> },
            { name: `Version ${now.version}`, cell: ({ after }) => <Side text={after} /> },
          ]}
        />
      )}
    </section>
  );
}

function Side({ text }: { readonly text: string | undefined }): JSX.Element {
  return text === undefined ? <span class="none">nothing</span> : <span class="whole-words">{text}</span>;
}
