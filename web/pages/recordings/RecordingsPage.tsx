import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { RecordingBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { recordings, removeRecording } from "../../calls/recordings.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { lengthWords, stateWords } from "../../model/recording/listWords.ts";
import { timeShown } from "../../model/times.ts";
import { Ask } from "../../views/Ask.tsx";
import { CompareCheck } from "../../views/compare/CompareCheck.tsx";
import { ToCompare } from "../../views/compare/ToCompare.tsx";
import { List } from "../../views/List.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { AddRecordings } from "./AddRecordings.tsx";
import { InPlaceList } from "./InPlaceList.tsx";
import { InPlaceNote } from "./InPlaceNote.tsx";
import "./recordings.css";
import "../compare/compare.css";

/** All recordings, newest first, what each of them came to, and the way to add more. */
export function RecordingsPage(): JSX.Element {
  const loaded = useLoaded("recordings", recordings);
  useLiveReload(["recording", "snapshot"], loaded.reload);
  return (
    <Page
      title="Recordings"
      lead={
        <>
          What a receiver took down sample by sample: each is analysed as it comes in, and says what it came to. Many of
          them with one set of settings: <a href="/studies">Studies</a>.
        </>
      }
    >
      <AddRecordings onAdded={loaded.reload}>
        {(choose) => (
          <>
            <InPlaceList />
            <Waiting loaded={loaded} what="the recordings">
              {(all) => (
                <>
                  <ToCompare />
                  <List
                    label="Recordings"
                    class="rows"
                    items={all}
                    keyOf={({ hash }) => hash}
                    empty={{
                      says: "No recording yet. A recording is a file of raw samples, such as a SigMF archive or a WAVE file with I and Q.",
                      action: { label: "Choose files", onClick: choose },
                    }}
                  >
                    {(one) => <RecordingEntry recording={one} onRemoved={loaded.reload} />}
                  </List>
                </>
              )}
            </Waiting>
          </>
        )}
      </AddRecordings>
    </Page>
  );
}

interface RecordingEntryProps {
  readonly recording: RecordingBody;
  readonly onRemoved: () => void;
}

function RecordingEntry({ recording: it, onRemoved }: RecordingEntryProps): JSX.Element {
  const [asked, setAsked] = useState(false);
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const { state, progress } = it.analysis;

  const remove = async () => {
    setBusy(true);
    const answer = await removeRecording(it.hash);
    setBusy(false);
    setAsked(false);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) onRemoved();
  };

  return (
    <>
      <div class="recording-entry">
        <a class="row row-recording" href={`/recordings/${it.hash}`}>
          <span class="row-title">
            {it.name}
            <span class="row-sub">{`${lengthWords(it.seconds)}, ${it.sample ? "sample" : `added ${timeShown(it.addedAt)}`}`}</span>
          </span>
          <span class="row-text">
            {state === "failed" ? <Mark strength="look here" words={stateWords(it)} /> : stateWords(it)}
            {state === "running" && <progress max={1} value={progress} aria-label={`Analysis of ${it.name}`} />}
          </span>
        </a>
        <CompareCheck hash={it.hash} name={it.name} />
        <button type="button" class="button small" aria-label={`Remove ${it.name}`} onClick={() => setAsked(true)}>
          Remove
        </button>
      </div>
      <InPlaceNote recording={it} />
      {asked && (
        <Ask
          question={
            it.inPlace
              ? `Remove ${it.name} and all that was found in it? Its file stays in the data folder.`
              : `Remove ${it.name} with its samples and all that was found in it? Nothing brings it back.`
          }
          yes="Remove it"
          no="Keep it"
          busy={busy}
          onYes={() => void remove()}
          onNo={() => setAsked(false)}
        />
      )}
      {problem && <ProblemNote problem={problem} />}
    </>
  );
}
