import type { JSX } from "preact";
import { useCallback, useState } from "preact/hooks";
import type { RecordingBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { layouts } from "../../calls/layouts.ts";
import { analyseAgain, type Records, recording, recordsOf } from "../../calls/recordings.ts";
import { cameFrom } from "../../cameFrom.ts";
import { useLive } from "../../live.ts";
import { type Loaded, useLoaded } from "../../loaded.ts";
import { fileWords, lengthWords, stateWords } from "../../model/recording/listWords.ts";
import { timeShown } from "../../model/times.ts";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { Evidence } from "./Evidence.tsx";
import { InPlaceNote } from "./InPlaceNote.tsx";
import { MissingRecording } from "./MissingRecording.tsx";
import { StopAnalysis } from "./StopAnalysis.tsx";
import "./recordings.css";
import "./measuring.css";
import "../compare/compare.css";
import "./notes.css";

/** One recording as a page of evidence: the answer, the signal, its frames, their bits, and why. */
export function RecordingPage({ hash }: { readonly hash: string }): JSX.Element {
  const loaded = useLoaded(`recording ${hash}`, () => recording(hash));
  const { reload } = loaded;
  useLive(
    "recording",
    useCallback(
      (event) => {
        if (event.hash === hash) reload();
      },
      [hash, reload],
    ),
  );
  useLive("snapshot", reload);
  const there = loaded.state === "there" ? loaded.value : undefined;
  return (
    <Page title={there?.name ?? `Recording ${hash.slice(0, 8)}`} lead={there && <Lead recording={there} />}>
      {loaded.state === "failed" && loaded.problem.status === 404 ? (
        <MissingRecording hash={hash} onAdded={reload} />
      ) : (
        <Waiting loaded={loaded} what="the recording">
          {(value) => (
            <>
              <CameFrom hash={hash} />
              <InPlaceNote recording={value} />
              {value.analysis.state === "done" ? (
                <Analysed key={`${value.summary?.bursts}`} recording={value} />
              ) : (
                <NotAnalysed recording={value} loaded={loaded} />
              )}
            </>
          )}
        </Waiting>
      )}
    </Page>
  );
}

/** The way back to the study that led here, with what was looked at in it. */
function CameFrom({ hash }: { readonly hash: string }): JSX.Element | null {
  const [from] = useState(() => cameFrom(hash));
  if (!from) return null;
  return (
    <p class="came-from">
      <a href={from.address}>{`Back to ${from.words}`}</a>
    </p>
  );
}

function Lead({ recording: it }: { readonly recording: RecordingBody }): JSX.Element {
  return (
    <>{`${lengthWords(it.seconds)}, ${it.sample ? "a sample" : `added ${timeShown(it.addedAt)}`}; ${fileWords(it)}`}</>
  );
}

function Analysed({ recording: it }: { readonly recording: RecordingBody }): JSX.Element {
  const records = useLoaded<Records>(`records ${it.hash}`, () => recordsOf(it.hash));
  const shelf = useLoaded("layouts", layouts);
  return (
    <Waiting loaded={records} what="what was found in it">
      {(found) => (
        <Waiting loaded={shelf} what="the layouts">
          {(entries) => <Evidence recording={it} records={found} shelf={entries} />}
        </Waiting>
      )}
    </Waiting>
  );
}

function NotAnalysed({
  recording: it,
  loaded,
}: {
  readonly recording: RecordingBody;
  readonly loaded: Loaded<RecordingBody>;
}): JSX.Element {
  const [problem, setProblem] = useState<Problem>();
  const { state, progress } = it.analysis;
  const again = async () => {
    const answer = await analyseAgain(it.hash);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) loaded.put(answer.value);
  };
  return (
    <div class="not-analysed">
      <p class="answer-line" role="status">
        {state === "failed" ? <Mark strength="look here" words="Not analysed" /> : null} {stateWords(it)}
      </p>
      {state === "running" && (
        <progress
          max={1}
          value={progress}
          aria-label="How far the analysis is"
        >{`${Math.floor(progress * 100)} %`}</progress>
      )}
      <p class="form-foot">
        {state === "failed" ? (
          <button type="button" class="button main" onClick={() => void again()}>
            Analyse it again
          </button>
        ) : (
          <>
            <a class="button" href="/recordings">
              All recordings
            </a>
            <StopAnalysis recording={it} onStopped={loaded.put} />
          </>
        )}
      </p>
      {problem && <ProblemNote problem={problem} />}
    </div>
  );
}
