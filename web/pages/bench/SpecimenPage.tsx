import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { LotBody, SpecimenBody, SpecimenMoreBody } from "../../../server/http/wire/lots.ts";
import { specimenMore } from "../../calls/lots.ts";
import { useSettings } from "../../device.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { lotDifferences } from "../../model/bench/lotChange.ts";
import { withSpecimen } from "../../model/bench/lotDraft.ts";
import {
  cellWords,
  eitherSideShown,
  figureWords,
  lotTitle,
  pressureErrorShown,
  registeredAs,
  setPointWords,
  VERDICT_STRENGTH,
} from "../../model/bench/lotWords.ts";
import { identityTyped } from "../../model/identity.ts";
import { inLine, pressureShown } from "../../model/quantities.ts";
import { addressOf } from "../../model/route.ts";
import { CalibrationPlotView } from "../../views/bench/CalibrationPlotView.tsx";
import { ConflictNote } from "../../views/ConflictNote.tsx";
import { DoneNote } from "../../views/DoneNote.tsx";
import { Empty } from "../../views/Empty.tsx";
import { TextField } from "../../views/Fields.tsx";
import { Identity } from "../../views/Identity.tsx";
import { InSight } from "../../views/InSight.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { Table } from "../../views/Table.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { Budgets } from "./Budgets.tsx";
import { GoldenBeside } from "./GoldenBeside.tsx";
import { lotBox } from "./SetUpStage.tsx";
import { SpecimenSilence } from "./SpecimenSilence.tsx";
import { SpecimenTelegrams } from "./SpecimenTelegrams.tsx";
import { type LotHere, useLot, useLotAutosave } from "./useLot.ts";

interface SpecimenPageProps {
  readonly id: string;
  readonly number: number;
}

/** All that is known of one specimen, and how each figure came about. */
export function SpecimenPage({ id, number }: SpecimenPageProps): JSX.Element {
  const here = useLot(id);
  const lotAddress = addressOf({ page: "lot", id });
  return (
    <Page
      title={`Specimen ${number}`}
      lead={
        <>
          Of <a href={lotAddress}>lot {id}</a>
          {here.loaded.state === "there" ? `, ${lotTitle(here.loaded.value)}` : ""}
        </>
      }
    >
      <Waiting loaded={here.loaded} what={`lot ${id}`}>
        {(lot) => {
          const row = lot.rows.find((one) => one.number === number);
          return row ? (
            <Specimen lot={lot} here={here} row={row} />
          ) : (
            <Empty
              says={`Lot ${id} has no specimen ${number}: fewer were drawn.`}
              action={{ label: "Back to the lot", href: lotAddress }}
            />
          );
        }}
      </Waiting>
    </Page>
  );
}

interface SpecimenProps {
  readonly lot: LotBody;
  readonly here: LotHere;
  readonly row: SpecimenBody;
}

function Specimen({ lot, here, row }: SpecimenProps): JSX.Element {
  const { id, rows } = lot;
  const { conflict } = here;
  const loaded = useLoaded(`specimen ${id} ${row.number}`, () => specimenMore(id, row.number));
  const { reload } = loaded;
  useEffect(reload, [lot.revision, reload]);
  useLiveReload(here.follows, reload);
  const at = rows.findIndex(({ number }) => number === row.number);
  const beside = (other: SpecimenBody | undefined, words: string) =>
    other && (
      <a class="button" href={addressOf({ page: "specimen", id, number: other.number })}>
        {words} {other.number}
      </a>
    );
  return (
    <>
      {here.problem && <InSight problem={here.problem} />}
      {conflict && (
        <ConflictNote
          what="This lot"
          rows={lotDifferences(conflict.change, conflict.now)}
          busy={here.saving}
          onMine={here.keepMine}
          onTheirs={here.keepTheirs}
        />
      )}
      <Head row={row} />
      <p class="form-foot">
        {beside(rows[at - 1], "Specimen")}
        {beside(rows[at + 1], "Specimen")}
      </p>
      <Waiting loaded={loaded} what="what is known of it">
        {(more) => (
          <>
            {more.silence && <SpecimenSilence silence={more.silence} row={row} here={here} />}
            <Figures row={row} />
            <Errors lot={lot} row={row} />
            <Calibration more={more} />
            <Budgets budgets={more.budgets} lot={lot} />
            <Radio more={more} row={row} />
            <GoldenBeside more={more} lot={lot} row={row} here={here} />
            <Hands lot={lot} here={here} row={row} />
            <SpecimenTelegrams telegrams={more.telegrams} lot={lot} />
          </>
        )}
      </Waiting>
    </>
  );
}

function Head({ row }: { readonly row: SpecimenBody }): JSX.Element {
  const { identity, body, label, verdict, because, leftOut, flags, says } = row;
  return (
    <section class="wheel-head" aria-label="Sensor and verdict">
      {identity === null ? (
        <p>{says}</p>
      ) : (
        <p>
          <span class="caption">
            Sensor ID{body === "" ? "" : `, body ${body} of those that send it`}
            {label === "" ? "" : `; on the part: ${label}`}
          </span>
          <Identity value={identity} large />
        </p>
      )}
      {leftOut === "" ? (
        <>
          <p>
            <Mark strength={VERDICT_STRENGTH[verdict]} words={verdict} />
          </p>
          <p class="finding">{because}</p>
        </>
      ) : (
        <p class="finding">Left out: {leftOut}</p>
      )}
      {flags.map(({ kind, says: words }) => (
        <p key={words}>
          <Mark strength="look here" words={kind} /> {words}
        </p>
      ))}
    </section>
  );
}

/** Each figure with its limits, its verdict and why. */
function Figures({ row }: { readonly row: SpecimenBody }): JSX.Element {
  const settings = useSettings();
  return (
    <section aria-labelledby="specimen-figures">
      <h2 id="specimen-figures">Held against the limits</h2>
      <Table
        caption="Every figure that is asked for, and why its verdict is what it is"
        rows={row.figures}
        keyOf={({ of }) => of}
        empty={{ says: "No limit is asked for yet.", action: { label: "All lots", href: "/bench" } }}
        columns={[
          { name: "Figure", cell: ({ of }) => of },
          {
            name: "Measured",
            figures: true,
            cell: (one) => <span class="whole">{figureWords(one, settings).value || "–"}</span>,
          },
          {
            name: "Limits",
            figures: true,
            cell: (one) => <span class="whole">{figureWords(one, settings).limits || "–"}</span>,
          },
          {
            name: "Verdict",
            cell: ({ verdict }) => <Mark strength={VERDICT_STRENGTH[verdict]} words={verdict} />,
          },
          { name: "Why", cell: ({ because }) => because },
        ]}
      />
    </section>
  );
}

function Errors({ lot, row }: Pick<SpecimenProps, "lot" | "row">): JSX.Element {
  const { pressure } = useSettings();
  const facts = [
    ["Mean error", row.meanErrorKpa, true],
    ["Linearity, farthest from a straight line", row.linearityKpa, false],
    ["Hysteresis, up against down", row.hysteresisKpa, false],
    ["Repeatability, standard deviation", row.repeatabilityKpa, false],
  ] as const;
  return (
    <section aria-labelledby="specimen-errors">
      <h2 id="specimen-errors">At each set point</h2>
      <Table
        caption="What it said, less what the gauge showed"
        rows={row.cells}
        keyOf={({ setPoint }) => String(setPoint)}
        empty={{ says: "There is no set point yet.", action: { label: "Set up", href: `/bench/${lot.id}?at=set-up` } }}
        columns={[
          {
            name: "Set point",
            cell: ({ setPoint }) => {
              const point = lot.setPoints[setPoint];
              return point ? setPointWords(point, pressure) : "";
            },
          },
          { name: "Readings", figures: true, cell: ({ readings }) => readings },
          {
            name: "It said",
            figures: true,
            cell: ({ meanKpa }) => (meanKpa === null ? "–" : inLine(pressureShown(meanKpa, pressure))),
          },
          { name: `Error, ${pressure}`, figures: true, cell: (cell) => cellWords(cell, pressure) },
          {
            name: "Verdict",
            cell: ({ verdict, setPoint }) =>
              verdict === null ? (
                row.missing.includes(setPoint) ? (
                  "still to be read"
                ) : (
                  "none"
                )
              ) : (
                <Mark strength={VERDICT_STRENGTH[verdict]} words={verdict} />
              ),
          },
        ]}
      />
      <dl class="facts">
        {facts.map(([name, kpa, isSigned]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>
              {kpa === null
                ? "too few readings to tell"
                : inLine(isSigned ? pressureErrorShown(kpa, pressure) : eitherSideShown(kpa, pressure))}
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

function Calibration({ more: { line } }: { readonly more: SpecimenMoreBody }): JSX.Element | null {
  const { pressure } = useSettings();
  if (line === null) return null;
  return <CalibrationPlotView line={line} unit={pressure} />;
}

/** What the air tells of it besides the pressure. */
function Radio({ more, row }: { readonly more: SpecimenMoreBody; readonly row: SpecimenBody }): JSX.Element {
  const { temperature, walk, drift, fieldStrength } = more;
  const parts = [
    ["With temperature", temperature.says],
    ["Its carrier over the test", walk.says],
    ["Its carrier within a telegram", drift.says],
    ["Field strength", fieldStrength.says],
    ...(row.levelDb === null ? [] : [["Level", `${row.levelDb.toFixed(1)}\u202fdB as received.`] as const]),
  ] as const;
  return (
    <section aria-labelledby="specimen-radio">
      <h2 id="specimen-radio">Besides the pressure</h2>
      <dl class="facts">
        {parts.map(([name, says]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{says}</dd>
          </div>
        ))}
      </dl>
      <p class="caption">Radio figures are indicative; approval is for accredited laboratories.</p>
    </section>
  );
}

/** What a hand decides: whose sensor it is, what stands on the part, whether it counts. */
function Hands({ lot, here, row }: SpecimenProps): JSX.Element {
  const autosave = useLotAutosave(lot, here);
  const [reason, setReason] = useState("");
  const [typed, setTyped] = useState("");
  const { number, identity } = row;
  const hex = identityTyped(typed);
  const isAside = identity !== null && lot.aside.includes(identity);
  return (
    <section aria-labelledby="specimen-hands">
      <h2 id="specimen-hands">By hand</h2>
      <div class="edit-card-more">
        <TextField label="Label on the part" maxLength={80} {...lotBox(autosave, `specimen.${number}.label`)} />
        <TextField label="Note" maxLength={400} {...lotBox(autosave, `specimen.${number}.note`)} />
      </div>
      <p class="caption" role="status">
        {autosave.says}
      </p>
      {row.leftOut === "" ? (
        <form
          class="inline-form"
          aria-label="Leave it out"
          onSubmit={(event) => {
            event.preventDefault();
            const because = reason.trim();
            if (because === "") return;
            void here.save(
              ({ specimens }) => ({ specimens: withSpecimen(specimens, number, { leftOut: because }) }),
              `Specimen ${number} does not count: ${because}`,
            );
          }}
        >
          <TextField label="Why it should not count" value={reason} onInput={setReason} maxLength={200} />
          <button type="submit" class="button" disabled={reason.trim() === ""}>
            Leave this specimen out
          </button>
        </form>
      ) : (
        <p>
          <button
            type="button"
            class="button"
            onClick={() =>
              void here.save(
                ({ specimens }) => ({ specimens: withSpecimen(specimens, number, { leftOut: "" }) }),
                `Specimen ${number} counts again`,
              )
            }
          >
            Let it count again
          </button>
        </p>
      )}
      <form
        class="inline-form"
        aria-label="Which sensor it is"
        onSubmit={(event) => {
          event.preventDefault();
          if (hex === null) return;
          void here
            .save((now) => registeredAs(now, number, hex), `Specimen ${number} is ${hex}`)
            .then((outcome) => outcome === "written" && setTyped(""));
        }}
      >
        <TextField
          label={identity === null ? "Its sensor ID, if you know it" : "Another sensor ID, if this is not its"}
          value={typed}
          onInput={setTyped}
          fixedWidth
          maxLength={40}
          options={[...lot.others, ...lot.rows].flatMap((one) => (one.identity === null ? [] : [one.identity]))}
        />
        <button type="submit" class="button" disabled={hex === null}>
          It is this sensor
        </button>
      </form>
      {isAside && <p>This sensor was put aside: it is not of this lot.</p>}
      <DoneNote card={here} />
    </section>
  );
}
