import type { JSX } from "preact";
import { useSettings } from "../../device.ts";
import { countsWords } from "../../model/bench/lotWords.ts";
import { ordered } from "../../model/bench/rowOrder.ts";
import { counted } from "../../model/quantities.ts";
import { addressOf } from "../../model/route.ts";
import { AcceptancePlotView } from "../../views/bench/AcceptancePlotView.tsx";
import { ErrorsPlotView } from "../../views/bench/ErrorsPlotView.tsx";
import { TextField } from "../../views/Fields.tsx";
import { Mark } from "../../views/Mark.tsx";
import { CompareLots } from "./CompareLots.tsx";
import type { StageProps } from "./LotPage.tsx";
import { RecordLinks } from "./LotRecordPage.tsx";
import { lotBox } from "./SetUpStage.tsx";

/** What came of it: three verdicts, the delivery as a whole, and the record. */
export function DecideStage({ lot, autosave }: StageProps): JSX.Element {
  const { pressure } = useSettings();
  return (
    <>
      <Counts lot={lot} />
      <ErrorsPlotView rows={ordered(lot.rows, "number")} lot={lot} unit={pressure} />
      <WholeLot lot={lot} />
      <Accepted lot={lot} />
      <section aria-labelledby="lot-record">
        <h3 id="lot-record">The record</h3>
        <div class="remarks">
          <TextField label="Remarks, for the record" lines={3} maxLength={2000} {...lotBox(autosave, "remarks")} />
        </div>
        <RecordLinks id={lot.id} />
      </section>
      <CompareLots id={lot.id} />
    </>
  );
}

function Counts({ lot: { counts } }: Pick<StageProps, "lot">): JSX.Element {
  return (
    <div class="answer">
      <p class="heard-only">{countsWords(counts)}</p>
      <ul class="counts" aria-hidden="true">
        <li>
          <span class="count">{counts.within}</span> within
        </li>
        <li>
          <span class="count">{counts.outside}</span>{" "}
          {counts.outside > 0 ? <Mark strength="stop" words="outside" /> : "outside"}
        </li>
        <li>
          <span class="count">{counts.cannotTell}</span>{" "}
          {counts.cannotTell > 0 ? <Mark strength="look here" words="cannot tell" /> : "cannot tell"}
        </li>
        {counts.leftOut > 0 && (
          <li>
            <span class="count">{counts.leftOut}</span> left out
          </li>
        )}
      </ul>
    </div>
  );
}

/** The sample as a whole, and who is unlike the others. */
function WholeLot({ lot: { lotView, id } }: Pick<StageProps, "lot">): JSX.Element | null {
  const { says, odd, tolerance } = lotView;
  if (says.length === 0 && odd.length === 0 && tolerance === null) return null;
  return (
    <section aria-labelledby="lot-whole">
      <h3 id="lot-whole">
        {odd.length === 0
          ? "None is unlike the others"
          : `${odd.length === 1 ? "One is" : `${odd.length} are`} unlike the others`}
      </h3>
      {odd.length > 0 && (
        <ul class="list">
          {odd.map(({ number, by, says: words }) => (
            <li key={`${number} ${by}`}>
              <a href={addressOf({ page: "specimen", id, number })}>Specimen {number}</a>:{" "}
              <Mark strength="look here" words={by} /> {words}
            </li>
          ))}
        </ul>
      )}
      {says.map((words) => (
        <p key={words}>{words}</p>
      ))}
      {tolerance !== null && !says.includes(tolerance.says) && <p>{tolerance.says}</p>}
    </section>
  );
}

const ACCEPTED = {
  accept: { strength: "as expected", words: "The delivery is accepted" },
  reject: { strength: "stop", words: "The delivery is rejected" },
  "cannot tell": { strength: "look here", words: "Whether it is accepted cannot be told" },
  "not finished": { strength: "as expected", words: "Not finished yet" },
} as const;

function Accepted({ lot }: Pick<StageProps, "lot">): JSX.Element {
  const { acceptance } = lot;
  const { strength, words } = ACCEPTED[acceptance.verdict];
  return (
    <section aria-labelledby="lot-accepted">
      <h3 id="lot-accepted">
        <Mark strength={strength} words={words} />
      </h3>
      <p>{acceptance.because}</p>
      <AcceptancePlotView lot={lot} />
      {acceptance.needed !== null && acceptance.needed.sample > acceptance.sample && (
        <p>
          To keep both risks, {counted(acceptance.needed.sample, "specimen")} would have to be tested, and at most{" "}
          {acceptance.needed.accept} be outside.
        </p>
      )}
      {acceptance.needed === null && acceptance.sample > 0 && (
        <p>No plan of a size that can be tested keeps both risks.</p>
      )}
    </section>
  );
}
