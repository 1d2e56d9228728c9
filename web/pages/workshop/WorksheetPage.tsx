import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { Problem } from "../../api.ts";
import { removeWorksheet, restoreWorksheet, type StoredSheet, stepWorksheet } from "../../calls/worksheets.ts";
import { STATIONS, type StationName, stationOf } from "../../model/workshop/stations.ts";
import { Empty } from "../../views/Empty.tsx";
import { TextField } from "../../views/Fields.tsx";
import { InSight } from "../../views/InSight.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { StationSheet } from "./StationSheet.tsx";
import { Stations } from "./Stations.tsx";
import { type SheetHere, useWorksheet } from "./useWorksheet.ts";
import "./workshop.css";

/** A piece of work in the layout workshop: six stations, each a question, free to walk back and forth. */
export function WorksheetPage({ id }: { readonly id: string }): JSX.Element {
  const here = useWorksheet(id);
  const { loaded, worked, problem } = here;
  const [station, setStation] = useState<StationName>(() => stationOf(location.search));
  useEffect(() => {
    const follow = () => setStation(stationOf(location.search));
    window.addEventListener("popstate", follow);
    return () => window.removeEventListener("popstate", follow);
  }, []);
  const walk = (to: StationName) => {
    history.pushState(null, "", `?at=${to}`);
    setStation(to);
    // On a narrow page the stations fill the screen, and what changed lies below.
    requestAnimationFrame(() => {
      const heading = document.getElementById("station");
      heading?.focus({ preventScroll: true });
      heading?.scrollIntoView({ block: "nearest" });
    });
  };
  const sheet = loaded.state === "there" ? loaded.value : undefined;
  const [isGone, setGone] = useState(false);
  const suggestions = worked.state === "there" ? (worked.value.frames?.suggestions ?? []) : [];
  if (isGone && sheet) return <Gone sheet={sheet} onBack={() => setGone(false)} />;
  return (
    <Page
      title={sheet?.title ?? "Worksheet"}
      lead="A layout worked out from bursts that nothing reads. Whatever is decided can be taken back."
      margin={
        sheet && (
          <Margin
            here={here}
            sheet={sheet}
            onGone={() => setGone(true)}
            suggestions={suggestions}
            hasFrames={worked.state === "there" && worked.value.frames !== null}
          />
        )
      }
    >
      <Waiting loaded={loaded} what="the worksheet">
        {(stored) => (
          <>
            <Steps here={here} sheet={stored} />
            {problem && <InSight problem={problem} />}
            <Stations
              worked={worked.state === "there" ? worked.value : undefined}
              station={station}
              onWalk={walk}
              isBehind={here.isBehind}
            />
            <Waiting loaded={worked} what="what it comes to">
              {(out) => <StationSheet here={here} sheet={stored} worked={out} station={station} />}
            </Waiting>
            <Onwards station={station} onWalk={walk} />
          </>
        )}
      </Waiting>
    </Page>
  );
}

/** The step before and the step after, by what they were. */
function Steps({ here, sheet }: { readonly here: SheetHere; readonly sheet: StoredSheet }): JSX.Element {
  const { done, takenBack } = sheet.worksheet;
  const last = done.at(-1);
  const next = takenBack.at(-1);
  return (
    <p class="sheet-steps">
      <button
        type="button"
        class="button small"
        disabled={!last || here.busy}
        onClick={() => here.run((now) => stepWorksheet(now, { takeBack: true }))}
      >
        Take the last step back
      </button>
      <button
        type="button"
        class="button small"
        disabled={!next || here.busy}
        onClick={() => here.run((now) => stepWorksheet(now, { doAgain: true }))}
      >
        Do it again
      </button>
      <span class="caption" role="status">
        {last ? `Last step: ${last.says}.` : "No step yet."}
        {next ? ` Taken back: ${next.says}.` : ""}
      </span>
    </p>
  );
}

function Onwards({ station, onWalk }: { readonly station: StationName; readonly onWalk: (to: StationName) => void }) {
  const at = STATIONS.indexOf(station);
  const before = STATIONS[at - 1];
  const after = STATIONS[at + 1];
  return (
    <p class="form-foot">
      {before && (
        <button type="button" class="button" onClick={() => onWalk(before)}>
          Station before
        </button>
      )}
      {after && (
        <button type="button" class="button main" onClick={() => onWalk(after)}>
          Next station
        </button>
      )}
    </p>
  );
}

interface MarginProps {
  readonly here: SheetHere;
  readonly sheet: StoredSheet;
  readonly hasFrames: boolean;
  readonly onGone: () => void;
  readonly suggestions: readonly { readonly ask: string; readonly because: string }[];
}

function Margin({ here, sheet, suggestions, hasFrames, onGone }: MarginProps): JSX.Element {
  const [title, setTitle] = useState<string>();
  const { id, jobId } = sheet;
  return (
    <>
      <h2>What to record next</h2>
      {suggestions.length === 0 ? (
        <p>
          {hasFrames
            ? "Nothing that would tell more of what is named."
            : "Three bursts that belong together come first."}
        </p>
      ) : (
        <ol class="list" aria-label="What to record next">
          {suggestions.map(({ ask, because }) => (
            <li key={ask + because}>
              {ask} <span class="caption">{because}</span>
            </li>
          ))}
        </ol>
      )}
      <h2>This worksheet</h2>
      {jobId !== null && (
        <p>
          Begun from <a href={`/jobs/${jobId}`}>job {jobId}</a>.
        </p>
      )}
      {title === undefined ? (
        <p>
          <button type="button" class="button small" onClick={() => setTitle(sheet.title)}>
            Name the worksheet
          </button>
        </p>
      ) : (
        <form
          onSubmit={async (event) => {
            event.preventDefault();
            if (await here.run((now) => stepWorksheet(now, { title }))) setTitle(undefined);
          }}
        >
          <TextField label="Its name" value={title} onInput={setTitle} maxLength={200} />
          <p class="form-foot">
            <button type="submit" class="button small main" disabled={title.trim() === ""}>
              Write it down
            </button>
            <button type="button" class="button small" onClick={() => setTitle(undefined)}>
              Leave it
            </button>
          </p>
        </form>
      )}
      <p>
        <a class="button small" href={`/api/v1/worksheets/${id}`} download={`worksheet-${id}.json`}>
          Save it as a file
        </a>{" "}
        <span class="caption">With its bursts, figures and steps, to send on or go on with elsewhere.</span>
      </p>
      <Removing sheet={sheet} onGone={onGone} />
      <h2>Receives only</h2>
      <p class="caption">
        A layout tells what a sensor says, not that a tyre is right. Work on wheels by the maker's procedure.
      </p>
    </>
  );
}

function Removing({ sheet, onGone }: { readonly sheet: StoredSheet; readonly onGone: () => void }): JSX.Element {
  const [problem, setProblem] = useState<Problem>();
  const remove = async () => {
    const answer = await removeWorksheet(sheet.id, sheet.revision);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) onGone();
  };
  return (
    <>
      <p>
        <button type="button" class="button small" onClick={remove}>
          Remove the worksheet
        </button>
      </p>
      {problem && <ProblemNote problem={problem} />}
    </>
  );
}

/** What is left of a worksheet that was removed: the way to take that back. */
function Gone({ sheet, onBack }: { readonly sheet: StoredSheet; readonly onBack: () => void }): JSX.Element {
  const [problem, setProblem] = useState<Problem>();
  return (
    <Page title={sheet.title} lead={<a href="/layouts">To the layouts</a>}>
      <Empty
        says="It is removed. As long as this page is open it can be taken back."
        action={{
          label: "Take it back",
          onClick: async () => {
            const answer = await restoreWorksheet(sheet.id);
            setProblem(answer.ok ? undefined : answer.problem);
            if (answer.ok) onBack();
          },
        }}
      />
      {problem && <ProblemNote problem={problem} />}
    </Page>
  );
}
