import { useEffect, useState } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { signalOf } from "../../calls/recordings.ts";
import type { TimeRange } from "../../model/recording/range.ts";

/** What of a recording is wanted; without a range nothing of it is in sight. */
interface Wanted {
  readonly hash: string;
  readonly range: TimeRange | undefined;
}

export interface LaneSignals {
  /** One for each that was wanted; while the next is on its way it may be of another range. */
  readonly bodies: readonly (SignalBody | undefined)[];
  readonly problem: Problem | undefined;
  readonly again: () => void;
}

/** While a range is still being changed nothing is asked. */
const REST_MS = 120;

/** The level of several recordings, asked anew whenever their ranges change. */
export function useLaneSignals(wanted: readonly Wanted[], columns: number): LaneSignals {
  const [held, setHeld] = useState<readonly { readonly hash: string; readonly body: SignalBody | undefined }[]>([]);
  const [problem, setProblem] = useState<Problem>();
  const [round, setRound] = useState(0);
  const key = JSON.stringify(wanted.map(({ hash, range }) => [hash, range?.fromSeconds, range?.toSeconds]));
  useEffect(() => {
    let isOld = false;
    const timer = setTimeout(() => {
      const asked = wanted.map(({ hash, range }) => (range ? signalOf(hash, range, columns) : undefined));
      void Promise.all(asked).then((answers) => {
        if (isOld) return;
        const failed = answers.find((answer) => answer !== undefined && !answer.ok);
        setProblem(failed !== undefined && !failed.ok ? failed.problem : undefined);
        setHeld(
          answers.map((answer, i) => ({
            hash: wanted[i]?.hash ?? "",
            body: answer?.ok === true ? answer.value : undefined,
          })),
        );
      });
    }, REST_MS);
    return () => {
      isOld = true;
      clearTimeout(timer);
    };
    // The key says all that is wanted.
  }, [key, columns, round]);
  // Another recording's signal is never drawn in its place.
  const bodies = wanted.map(({ hash }, i) => (held[i]?.hash === hash ? held[i]?.body : undefined));
  return { bodies, problem, again: () => setRound((n) => n + 1) };
}
