import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { InPlaceBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { inPlaceFolder, openBody, openInPlace, stopOpening } from "../../calls/inPlace.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { sizeWords } from "../../model/recording/listWords.ts";
import { percentWords, restWords } from "../../model/recording/restWords.ts";
import type { Told } from "../../model/recording/uploadPlan.ts";
import { List } from "../../views/List.tsx";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { AskAboutFile } from "./AskAboutFile.tsx";
import "./large.css";

const LOOK_MS = 1000;

/** The files in the folder in-place: those that are not opened yet are opened from here, where they lie. */
export function InPlaceList(): JSX.Element {
  const loaded = useLoaded("in-place", inPlaceFolder);
  const { reload } = loaded;
  useLiveReload(["recording", "snapshot"], reload);
  const isOpening = loaded.state === "there" && loaded.value.files.some(({ state }) => state === "opening");
  useEffect(() => {
    if (!isOpening) return undefined;
    const timer = setInterval(reload, LOOK_MS);
    return () => clearInterval(timer);
  }, [isOpening, reload]);
  const waiting = loaded.state === "there" ? loaded.value.files.filter(({ state }) => state !== "opened").length : 0;

  return (
    <details class="in-place" open={waiting > 0}>
      <summary>{`Files in the data folder${waiting > 0 ? `, ${waiting} not opened` : ""}`}</summary>
      <Waiting loaded={loaded} what="the files in the data folder">
        {({ folder, files }) => (
          <>
            <p>
              A file that is too large to copy can be read where it lies. Put it, or a link to it, into{" "}
              <code>{folder}</code>. It is never copied, changed or deleted from here.
            </p>
            <List
              label="Files in the data folder"
              class="rows"
              items={files}
              keyOf={({ path }) => path}
              empty={{ says: "No file lies there now.", action: { label: "Look again", onClick: reload } }}
            >
              {(file) => <InPlaceEntry file={file} onChanged={reload} />}
            </List>
          </>
        )}
      </Waiting>
    </details>
  );
}

function InPlaceEntry({
  file,
  onChanged,
}: {
  readonly file: InPlaceBody;
  readonly onChanged: () => void;
}): JSX.Element {
  const [asking, setAsking] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const { path, bytes, asks, state, hash, because } = file;

  const after = async (answer: ReturnType<typeof openInPlace> | ReturnType<typeof stopOpening>) => {
    const came = await answer;
    setProblem(came.ok ? undefined : came.problem);
    onChanged();
  };
  const open = (told?: Told) => void after(openInPlace(openBody(path, told)));

  return (
    <>
      <div class="recording-entry">
        <p class="row-text">
          <span class="row-title">{path}</span>
          <span class="row-sub">{`${sizeWords(bytes)}; ${stateWords(file)}`}</span>
          {state === "opening" && <progress max={1} value={file.progress} aria-label={`How far ${path} is`} />}
        </p>
        {state === "opened" && hash !== null ? (
          <a class="button small" href={`/recordings/${hash}`} aria-label={`Look at ${path}`}>
            Look at it
          </a>
        ) : state === "opening" ? (
          <button
            type="button"
            class="button small"
            aria-label={`Stop opening ${path}`}
            onClick={() => void after(stopOpening(path))}
          >
            Stop
          </button>
        ) : (
          <button
            type="button"
            class="button small"
            aria-label={`Open ${path}`}
            onClick={() => (asks === "nothing" ? open() : setAsking(true))}
          >
            Open
          </button>
        )}
      </div>
      {state === "refused" && because !== null && (
        <p>
          <Mark strength="look here" words="Not opened" /> {because}
        </p>
      )}
      {asking && (
        <AskAboutFile
          asking={{ file: { name: path, size: bytes }, kind: asks === "carrier" ? "wave" : "raw" }}
          onTold={(told) => {
            setAsking(false);
            open(told);
          }}
          onLeave={() => setAsking(false)}
        />
      )}
      {problem && <ProblemNote problem={problem} />}
    </>
  );
}

function stateWords({ state, progress, restSeconds }: InPlaceBody): string {
  switch (state) {
    case "not opened":
      return "lies in the data folder, not yet opened";
    case "opening":
      return `being read, ${percentWords(progress)} done${restWords(restSeconds)}`;
    case "opened":
      return "opened";
    case "refused":
      return "could not be opened";
  }
}
