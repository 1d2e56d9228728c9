import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { LotsComparedBody } from "../../../server/http/wire/lots.ts";
import { lotsCompared } from "../../calls/lots.ts";
import { useSettings } from "../../device.ts";
import { useLoaded } from "../../loaded.ts";
import { besideWords, lotTitle } from "../../model/bench/lotWords.ts";
import { addressOf } from "../../model/route.ts";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { Table } from "../../views/Table.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { CompareLots } from "./CompareLots.tsx";

/** Two lots held against each other, each difference with how sure it is. */
export function LotsComparedPage({ id }: { readonly id: string }): JSX.Element {
  const [other, setOther] = useState(() => withIn(location.search));
  useEffect(() => {
    const follow = () => setOther(withIn(location.search));
    window.addEventListener("popstate", follow);
    return () => window.removeEventListener("popstate", follow);
  }, []);
  return (
    <Page
      title="Two lots compared"
      lead={
        <>
          <a href={addressOf({ page: "lot", id })}>Lot {id}</a>
          {other !== "" && (
            <>
              {" "}
              beside <a href={addressOf({ page: "lot", id: other })}>lot {other}</a>
            </>
          )}
        </>
      }
    >
      {other !== "" && <Both key={other} id={id} other={other} />}
      <CompareLots key={`with ${other}`} id={id} with={other} />
    </Page>
  );
}

function withIn(search: string): string {
  return (new URLSearchParams(search).get("with") ?? "").toUpperCase();
}

function Both({ id, other }: { readonly id: string; readonly other: string }): JSX.Element {
  const loaded = useLoaded(`lots ${id} ${other}`, () => lotsCompared(id, other));
  return (
    <Waiting loaded={loaded} what="the comparison">
      {(compared) => <Comparison compared={compared} />}
    </Waiting>
  );
}

/** A chance like this or less is not taken for chance. */
const SURE = 0.05;

function Comparison({ compared }: { readonly compared: LotsComparedBody }): JSX.Element {
  const settings = useSettings();
  const { here, other, comparisons, cautions } = compared;
  return (
    <>
      {cautions.map((says) => (
        <p key={says}>
          <Mark strength="look here" /> {says}
        </p>
      ))}
      <Table
        caption={`${lotTitle(here)} (${here.id}) beside ${lotTitle(other)} (${other.id}): middle and spread of each`}
        rows={comparisons}
        keyOf={({ of }) => of}
        empty={{
          says: "The two have no figure that both have.",
          action: { label: "All lots", href: "/bench" },
        }}
        columns={[
          { name: "Figure", cell: ({ of }) => of },
          { name: here.id, figures: true, cell: (one) => sideWords(one.here, one.unit, settings) },
          { name: other.id, figures: true, cell: (one) => sideWords(one.other, one.unit, settings) },
          {
            name: "Difference",
            figures: true,
            cell: ({ difference, from, to, unit }) =>
              difference === null
                ? "–"
                : `${besideWords(difference, unit, settings)}${
                    from === null || to === null
                      ? ""
                      : ` (${besideWords(from, unit, settings)} to ${besideWords(to, unit, settings)})`
                  }`,
          },
          {
            name: "What it says",
            cell: ({ says, p, test, assumptions }) => (
              <>
                {p !== null && p <= SURE && <Mark strength="look here" words="differ" />} {says}
                {test !== null && (
                  <span class="caption">
                    {test}
                    {p === null ? "" : `, p = ${p < 0.001 ? "under 0.001" : p.toFixed(3)}`}
                    {assumptions.length === 0 ? "" : `. Assumes: ${assumptions.join(" ")}`}
                  </span>
                )}
              </>
            ),
          },
        ]}
      />
    </>
  );
}

function sideWords(
  { count, middle, spread }: LotsComparedBody["comparisons"][number]["here"],
  unit: string,
  settings: Parameters<typeof besideWords>[2],
): string {
  if (middle === null) return `of ${count}: none`;
  return `${besideWords(middle, unit, settings)}${spread === null ? "" : `, spread ${besideWords(spread, unit, settings)}`}, of ${count}`;
}
