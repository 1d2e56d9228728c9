import type { ComponentChildren, JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import type { Problem } from "../../api.ts";
import { addRecording } from "../../calls/recordings.ts";
import { sizeWords } from "../../model/recording/listWords.ts";
import {
  type AskingUpload,
  IN_PIECES_BYTES,
  MOST_BYTES,
  type ReadyUpload,
  type Refusal,
  type Told,
  uploadPlan,
} from "../../model/recording/uploadPlan.ts";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { AskAboutFile } from "./AskAboutFile.tsx";
import { SendInPieces } from "./SendInPieces.tsx";
import "./large.css";

interface AddRecordingsProps {
  readonly onAdded: () => void;
  /** @param choose Opens the browser's own way to choose files. */
  readonly children: (choose: () => void) => ComponentChildren;
}

/** What came of sending one recording. */
type Outcome =
  | { readonly name: string; readonly state: "waiting" | "sending" }
  | {
      readonly name: string;
      readonly state: "in pieces";
      readonly upload: ReadyUpload<File>;
      readonly told: Told | undefined;
      readonly onFree: () => void;
    }
  | { readonly name: string; readonly state: "cancelled" }
  | { readonly name: string; readonly state: "added"; readonly hash: string }
  | { readonly name: string; readonly state: "refused"; readonly problem: Problem };

/** Files chosen or dropped anywhere on the page are looked at here, sent one after the other, and each answered for. */
export function AddRecordings({ onAdded, children }: AddRecordingsProps): JSX.Element {
  const input = useRef<HTMLInputElement>(null);
  const [outcomes, setOutcomes] = useState<readonly Outcome[]>([]);
  const [asking, setAsking] = useState<readonly AskingUpload<File>[]>([]);
  const [refused, setRefused] = useState<readonly Refusal[]>([]);
  const [over, setOver] = useState(false);
  const queue = useRef(Promise.resolve());

  const say = (outcome: Outcome) => setOutcomes((all) => [...all.filter(({ name }) => name !== outcome.name), outcome]);
  const send = (upload: ReadyUpload<File>, told?: Told) => {
    const { name, files, metaBytes } = upload;
    say({ name, state: "waiting" });
    // One at a time: each gets the whole wire, and a refusal is read before the next.
    queue.current = queue.current.then(async () => {
      if (files.reduce((sum, file) => sum + file.size, 0) > IN_PIECES_BYTES) {
        await new Promise<void>((onFree) => say({ name, state: "in pieces", upload, told, onFree }));
        return;
      }
      say({ name, state: "sending" });
      const answer = await addRecording(name, files, metaBytes, told);
      say(
        answer.ok
          ? { name, state: "added", hash: answer.value.hash }
          : { name, state: "refused", problem: answer.problem },
      );
      if (answer.ok) onAdded();
    });
  };
  const take = (files: readonly File[]) => {
    const plan = uploadPlan(files);
    setRefused(plan.refused);
    setAsking((all) => [...all, ...plan.asking]);
    for (const upload of plan.ready) send(upload);
  };
  const [next] = asking;
  const asked = () => setAsking((all) => all.slice(1));

  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is the short way; the button does the same
    <div
      class={over ? "drop drop-over" : "drop"}
      onDragOver={(event) => {
        if (!event.dataTransfer?.types.includes("Files")) return;
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={(event) => {
        if (event.relatedTarget instanceof Node && event.currentTarget.contains(event.relatedTarget)) return;
        setOver(false);
      }}
      onDrop={(event) => {
        event.preventDefault();
        setOver(false);
        take([...(event.dataTransfer?.files ?? [])]);
      }}
    >
      <div class="add-recordings">
        <label class="file">
          <span>Add recordings: SigMF (both files or an archive), WAVE with I and Q, raw samples</span>
          <input
            ref={input}
            type="file"
            multiple
            onChange={(event) => {
              take([...(event.currentTarget.files ?? [])]);
              // So that the same file can be chosen again.
              event.currentTarget.value = "";
            }}
          />
        </label>
        <p class="caption">{`Or drop them on this page. At most ${sizeWords(MOST_BYTES)} each; nothing leaves this computer.`}</p>
      </div>
      {next && (
        <AskAboutFile
          key={next.file.name}
          asking={next}
          onTold={(told) => {
            asked();
            send({ name: next.file.name, files: [next.file], metaBytes: undefined }, told);
          }}
          onLeave={asked}
        />
      )}
      <div class="outcomes" role="status">
        {refused.map(({ name, because, nextStep }) => (
          <p key={name}>
            <Mark strength="look here" words={`${name} ${because}.`} /> {nextStep}
          </p>
        ))}
        {outcomes.map((outcome) => (
          <OutcomeWords key={outcome.name} outcome={outcome} />
        ))}
      </div>
      {outcomes.map((outcome) => {
        const { name } = outcome;
        if (outcome.state !== "in pieces") return null;
        return (
          <SendInPieces
            key={name}
            upload={outcome.upload}
            told={outcome.told}
            onFree={outcome.onFree}
            onKept={(hash) => {
              say({ name, state: "added", hash });
              onAdded();
            }}
            onRefused={(problem) => say({ name, state: "refused", problem })}
            onCancelled={() => say({ name, state: "cancelled" })}
          />
        );
      })}
      {children(() => input.current?.click())}
    </div>
  );
}

function OutcomeWords({ outcome }: { readonly outcome: Outcome }): JSX.Element | null {
  const { name, state } = outcome;
  switch (state) {
    case "waiting":
      return <p>{`${name} waits until the one before it is sent.`}</p>;
    case "in pieces":
      return null; // below, with its buttons
    case "cancelled":
      return <p>{`${name} was cancelled. Nothing of it is kept.`}</p>;
    case "sending":
      return <p>{`${name} is being sent …`}</p>;
    case "added":
      return (
        <p>
          Kept: <a href={`/recordings/${outcome.hash}`}>{name}</a>.
        </p>
      );
    case "refused":
      return (
        <>
          <p>{`${name} was not kept:`}</p>
          <ProblemNote problem={outcome.problem} />
        </>
      );
  }
}
