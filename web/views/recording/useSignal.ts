import { useEffect, useRef, useState } from "preact/hooks";
import type { SignalBody } from "../../../server/http/wire.ts";
import type { Answer, Problem } from "../../api.ts";
import type { TimeRange } from "../../model/recording/range.ts";

export interface Signal {
  /** The newest that came; while the next is on its way it may show another range. */
  readonly body: SignalBody | undefined;
  readonly problem: Problem | undefined;
  readonly again: () => void;
}

/** While a range is still being changed nothing is asked. */
const REST_MS = 120;

/** The level of a range, asked anew whenever range or number of columns change. */
export function useSignal(
  ask: (range: TimeRange, columns: number) => Promise<Answer<SignalBody>>,
  range: TimeRange,
  columns: number,
): Signal {
  const [body, setBody] = useState<SignalBody>();
  const [problem, setProblem] = useState<Problem>();
  const [round, setRound] = useState(0);
  const { fromSeconds, toSeconds } = range;
  // The first picture waits for nothing.
  const isFirst = useRef(true);
  useEffect(() => {
    let isOld = false;
    const timer = setTimeout(
      () => {
        void ask({ fromSeconds, toSeconds }, columns).then((answer) => {
          if (isOld) return;
          setProblem(answer.ok ? undefined : answer.problem);
          if (answer.ok) setBody(answer.value);
        });
      },
      isFirst.current ? 0 : REST_MS,
    );
    isFirst.current = false;
    return () => {
      isOld = true;
      clearTimeout(timer);
    };
  }, [ask, fromSeconds, toSeconds, columns, round]);
  return { body, problem, again: () => setRound((n) => n + 1) };
}
