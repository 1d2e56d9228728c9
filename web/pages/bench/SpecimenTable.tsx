import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { SpecimenBody } from "../../../server/http/wire/lots.ts";
import { useSettings } from "../../device.ts";
import { eitherSideShown, pressureErrorShown, setPointWords, VERDICT_STRENGTH } from "../../model/bench/lotWords.ts";
import { ORDERS, type Order, ordered } from "../../model/bench/rowOrder.ts";
import type { StageName } from "../../model/bench/stages.ts";
import { addressOf } from "../../model/route.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";
import { Identity } from "../../views/Identity.tsx";
import { Mark } from "../../views/Mark.tsx";
import { type Column, Table } from "../../views/Table.tsx";
import type { StageProps } from "./LotPage.tsx";
import { NotOfThisLot } from "./RegisterStage.tsx";
import { lotBox } from "./SetUpStage.tsx";

interface SpecimenTableProps extends StageProps {
  readonly stage: StageName;
}

/** All specimens, in every stage: who they are, and their errors as soon as there are some. */
export function SpecimenTable({ lot, here, autosave, stage }: SpecimenTableProps): JSX.Element {
  const { pressure } = useSettings();
  const [order, setOrder] = useState<Order>("number");
  const isRegistering = stage === "register";
  const columns: Column<SpecimenBody>[] = [
    {
      name: "No.",
      figures: true,
      cell: ({ number }) => (
        <a class="number-link" href={addressOf({ page: "specimen", id: lot.id, number })}>
          {number}
        </a>
      ),
    },
    {
      name: "Sensor ID",
      cell: ({ identity, body, leftOut, state }) => (
        <>
          {identity === null ? <span class="none">{state}</span> : <Identity value={identity} />}
          {body !== "" && ` body ${body}`}
          {leftOut !== "" && <span class="caption">left out: {leftOut}</span>}
        </>
      ),
    },
    ...(isRegistering
      ? registering({ lot, here, autosave })
      : [
          ...lot.setPoints.map(
            (point, i): Column<SpecimenBody> => ({
              name: setPointWords(point, pressure, false),
              figures: true,
              cell: (row) => <ErrorCell row={row} setPoint={i} />,
            }),
          ),
          { name: "Verdict", cell: (row: SpecimenBody) => <VerdictCell row={row} isUnderWay={stage !== "decide"} /> },
        ]),
  ];
  const table = (
    <>
      <div class="specimens-head">
        <PickOne label="In the order of" value={order} options={ORDERS} onChange={setOrder} />
      </div>
      <div class="wide-table">
        <Table
          caption={
            isRegistering
              ? "Who is who; the label on the part may be typed, and need not be"
              : `Mean error at each set point, ${pressure}, with its expanded uncertainty`
          }
          rows={ordered(lot.rows, order)}
          keyOf={({ number }) => String(number)}
          empty={{ says: "No specimen yet.", action: { label: "Register them", href: "?at=register" } }}
          columns={columns}
        />
      </div>
    </>
  );
  // While the lot is set up they would only be in the way.
  if (stage === "set-up") {
    return (
      <details>
        <summary>Specimens ({lot.rows.length})</summary>
        {table}
      </details>
    );
  }
  return (
    <section class="specimens" aria-labelledby="lot-specimens">
      <h2 id="lot-specimens">Specimens</h2>
      {table}
    </section>
  );
}

function registering({ lot, here, autosave }: StageProps): Column<SpecimenBody>[] {
  return [
    {
      name: "Label on the part",
      cell: ({ number }) => (
        <TextField
          label={`Label of specimen ${number}`}
          bare
          maxLength={80}
          {...lotBox(autosave, `specimen.${number}.label`)}
        />
      ),
    },
    {
      name: "Heard",
      cell: ({ says, flags }) => (
        <>
          {says}
          {flags.map(({ kind, says: words }) => (
            <span key={words} class="flag">
              <Mark strength="look here" words={kind} /> {words}
            </span>
          ))}
        </>
      ),
    },
    {
      name: "",
      cell: ({ identity }) =>
        identity === null || lot.aside.includes(identity) ? "" : <NotOfThisLot identity={identity} here={here} />,
    },
  ];
}

function ErrorCell({ row, setPoint }: { readonly row: SpecimenBody; readonly setPoint: number }): JSX.Element {
  const { pressure } = useSettings();
  const cell = row.cells.find((one) => one.setPoint === setPoint);
  if (!cell || cell.errorKpa === null) {
    return <span class="none">{cell && cell.readings > 0 ? `${cell.readings} read` : "–"}</span>;
  }
  const { verdict } = cell;
  const words = pressureErrorShown(cell.errorKpa, pressure).figure;
  return (
    <>
      {row.leftOut !== "" || verdict === null ? (
        words
      ) : (
        <>
          <Mark strength={VERDICT_STRENGTH[verdict]} words={words} />
          {verdict !== "within" && <span class="heard-only">, {verdict}</span>}
        </>
      )}
      {cell.expandedKpa !== null && (
        <span class="caption whole">± {eitherSideShown(cell.expandedKpa, pressure).figure}</span>
      )}
    </>
  );
}

interface VerdictCellProps {
  readonly row: SpecimenBody;
  /** While readings are still to come, "cannot tell" is nothing to look at. */
  readonly isUnderWay: boolean;
}

function VerdictCell({ row, isUnderWay }: VerdictCellProps): JSX.Element {
  const { verdict, because, leftOut, missing } = row;
  if (leftOut !== "") return <span class="none">left out</span>;
  if (isUnderWay && verdict === "cannot tell" && missing.length > 0) return <span class="none">still to be read</span>;
  return (
    <>
      <Mark strength={VERDICT_STRENGTH[verdict]} words={verdict} />
      {verdict !== "within" && <span class="caption">{because}</span>}
    </>
  );
}
