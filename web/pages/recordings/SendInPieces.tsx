import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { Problem } from "../../api.ts";
import { dropUpload, sendPieces } from "../../calls/uploads.ts";
import { type PiecesStep, piecesShare, piecesWords } from "../../model/recording/piecesWords.ts";
import type { ReadyUpload, Told } from "../../model/recording/uploadPlan.ts";

interface SendInPiecesProps {
  readonly upload: ReadyUpload<File>;
  readonly told: Told | undefined;
  readonly onKept: (hash: string) => void;
  readonly onRefused: (problem: Problem) => void;
  readonly onCancelled: () => void;
  /** Another may be sent meanwhile: this one is over, or waits for a person. */
  readonly onFree: () => void;
}

/** A large recording on its way: how far it is, how long it will take, pause, go on, and cancel. */
export function SendInPieces({ upload, told, ...on }: SendInPiecesProps): JSX.Element {
  const [step, setStep] = useState<PiecesStep>({ at: "looking" });
  const abort = useRef(new AbortController());
  const heard = useRef(on);
  heard.current = on;
  const givenUp = useRef(false);
  const id = step.at === "looking" ? undefined : step.upload?.id;
  const share = piecesShare(step);

  const run = async (isSure: boolean) => {
    const own = new AbortController();
    abort.current = own;
    const came = await sendPieces(upload, told, {
      isSure,
      signal: own.signal,
      onStep: setStep,
      isGivenUp: () => givenUp.current,
    });
    heard.current.onFree();
    if (came.end === "kept") heard.current.onKept(came.hash);
    else if (came.end === "refused") heard.current.onRefused(came.problem);
  };
  const cancel = async () => {
    givenUp.current = true;
    abort.current.abort();
    heard.current.onFree();
    heard.current.onCancelled();
    if (id !== undefined) await dropUpload(id);
  };
  // It begins once; leaving the page pauses it.
  useEffect(() => {
    void run(false);
    return () => abort.current.abort();
  }, []);

  return (
    <section class="pieces" aria-label={`Sending ${upload.name}`}>
      <p>{piecesWords(upload.name, step)}</p>
      {share !== undefined && (
        <progress
          max={1}
          value={share}
          aria-label={`How far ${upload.name} is`}
        >{`${Math.floor(share * 100)} %`}</progress>
      )}
      <p class="form-foot">
        {(step.at === "sending" || step.at === "away") && (
          <button type="button" class="button" onClick={() => abort.current.abort()}>
            Pause
          </button>
        )}
        {step.at === "paused" && (
          <button type="button" class="button main" onClick={() => void run(true)}>
            Go on
          </button>
        )}
        {step.at === "alike" && (
          <>
            <a
              class="button main"
              href={`/recordings/${step.upload.alike}`}
              onClick={() => void dropUpload(step.upload.id)}
            >
              Look at that one
            </a>
            <button type="button" class="button" onClick={() => void run(true)}>
              Send it all the same
            </button>
          </>
        )}
        <button type="button" class="button" onClick={() => void cancel()}>
          {step.at === "alike" ? "Leave it out" : "Cancel"}
        </button>
      </p>
    </section>
  );
}
