import { useCallback, useEffect, useMemo, useState } from "preact/hooks";
import type { Answer, Problem } from "../../api.ts";

/** Something that is asked of the server once somebody wants it. */
export interface Asked<T> {
  readonly value: T | undefined;
  readonly problem: Problem | undefined;
  readonly asked: boolean;
  /** Asks, or folds the answer away. */
  readonly ask: (wanted: boolean) => void;
  readonly again: () => void;
}

/** While keys go from frame to frame nothing is asked. */
const REST_MS = 250;

/**
 * @param key What it is asked about; `undefined` for nothing. An answer about something else is dropped.
 * @param wanted Whether it is asked without anybody pressing.
 */
export function useAsked<T>(key: string | undefined, question: () => Promise<Answer<T>>, wanted: boolean): Asked<T> {
  const [asked, setAsked] = useState(wanted);
  const [round, setRound] = useState(0);
  const [held, setHeld] = useState<{ readonly key: string; readonly answer: Answer<T> }>();
  useEffect(() => {
    if (key === undefined || !asked) return;
    let isOld = false;
    const timer = setTimeout(() => {
      void question().then((answer) => {
        if (!isOld) setHeld({ key, answer });
      });
    }, REST_MS);
    return () => {
      isOld = true;
      clearTimeout(timer);
    };
    // The question follows from the key.
  }, [key, asked, round]);
  const answer = held && held.key === key ? held.answer : undefined;
  const again = useCallback(() => setRound((n) => n + 1), []);
  return useMemo(
    () => ({
      value: answer?.ok ? answer.value : undefined,
      problem: answer && !answer.ok ? answer.problem : undefined,
      asked,
      ask: setAsked,
      again,
    }),
    [answer, asked, again],
  );
}
