import type { JSX } from "preact";
import { useMemo, useState } from "preact/hooks";
import type { LotBody, SpecimenBody, SpecimenMoreBody } from "../../../server/http/wire/lots.ts";
import { useSettings } from "../../device.ts";
import { besideWords } from "../../model/bench/lotWords.ts";
import { counted } from "../../model/quantities.ts";
import { addressOf } from "../../model/route.ts";
import { Mark } from "../../views/Mark.tsx";
import { Table } from "../../views/Table.tsx";
import { ComparedBursts } from "../compare/ComparedBursts.tsx";
import type { LotHere } from "./useLot.ts";

interface GoldenProps {
  readonly more: SpecimenMoreBody;
  readonly lot: LotBody;
  readonly row: SpecimenBody;
  readonly here: LotHere;
}

/** The specimen beside one that is known to be good. */
export function GoldenBeside({ more: { golden }, lot, row, here }: GoldenProps): JSX.Element {
  const isIt = lot.golden !== null && lot.golden.lot === lot.id && lot.golden.number === row.number;
  return (
    <section aria-labelledby="specimen-golden">
      <h2 id="specimen-golden">Beside the golden specimen</h2>
      {isIt ? (
        <p>
          This is the golden specimen: the others are held against it.{" "}
          <button
            type="button"
            class="button small"
            onClick={() => void here.save({ golden: null }, "No specimen is the golden one")}
          >
            It is not the golden one
          </button>
        </p>
      ) : (
        <>
          {golden === null ? (
            <p>None is named yet. A specimen that is known to be good shows what the others should be like.</p>
          ) : (
            <Beside golden={golden} />
          )}
          <p>
            <button
              type="button"
              class="button"
              onClick={() =>
                void here.save(
                  { golden: { lot: lot.id, number: row.number } },
                  `Specimen ${row.number} is the golden one`,
                )
              }
            >
              Make it the golden specimen
            </button>
          </p>
        </>
      )}
    </section>
  );
}

function Beside({ golden }: { readonly golden: NonNullable<SpecimenMoreBody["golden"]> }): JSX.Element {
  const settings = useSettings();
  const { lot, number, identity, beside, bursts } = golden;
  const differing = beside.filter(({ differs }) => differs).length;
  const known = beside.filter((one) => one.here !== null && one.golden !== null).length;
  return (
    <>
      <p>
        <a href={addressOf({ page: "specimen", id: lot, number })}>
          Specimen {number} of lot {lot}
        </a>
        {identity === null ? "" : `, ${identity}`}:{" "}
        {known === 0
          ? "nothing was measured of both yet."
          : differing === 0
            ? `of ${counted(known, "figure")} none differs.`
            : `it differs in ${differing} of ${counted(known, "figure")}.`}
      </p>
      <Table
        caption="This one, and the golden one"
        rows={beside}
        keyOf={({ of }) => of}
        empty={{ says: "Neither has a figure that both have.", action: { label: "All lots", href: "/bench" } }}
        columns={[
          { name: "Figure", cell: ({ of }) => of },
          { name: "Here", figures: true, cell: (one) => besideWords(one.here, one.unit, settings) },
          { name: "Golden", figures: true, cell: (one) => besideWords(one.golden, one.unit, settings) },
          {
            name: "Difference",
            cell: ({ differs, says }) => (
              <>
                {differs && <Mark strength="look here" words="differs" />} {says}
              </>
            ),
          },
        ]}
      />
      {bursts !== null && <Overlay bursts={bursts} />}
    </>
  );
}

type Bursts = NonNullable<NonNullable<SpecimenMoreBody["golden"]>["bursts"]>;

/** A burst of each over the other, fetched when it is opened. */
function Overlay({ bursts }: { readonly bursts: Bursts }): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  const { here, golden } = bursts;
  const picks = useMemo(
    () => [here, golden].map(({ hash, index }) => ({ hash, frame: String(index) })),
    [here.hash, here.index, golden.hash, golden.index],
  );
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>A burst of each, one over the other</summary>
      {isOpen && <ComparedBursts picks={picks} />}
    </details>
  );
}
