import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import type { Answer, Problem } from "./api.ts";

/**
 * Something that was asked of the server. While it is asked for again, the old value stays, and also where the server
 * then is away or fails: what is on the page is not lost by that.
 */
export type Loaded<T> = (
  | { readonly state: "loading" }
  | { readonly state: "there"; readonly value: T }
  | { readonly state: "failed"; readonly problem: Problem }
) & {
  readonly reload: () => void;
  /** Takes in a value that came by another way, such as the answer to a change. */
  readonly put: (value: T) => void;
};

function isPassing({ status }: Problem): boolean {
  return status === 0 || status >= 500;
}

/** @param key Asks anew when it changes. */
export function useLoaded<T>(key: string, ask: () => Promise<Answer<T>>): Loaded<T> {
  const [held, setHeld] = useState<{ readonly key: string; readonly answer: Answer<T> } | undefined>(undefined);
  const [round, setRound] = useState(0);
  const asking = useRef(ask);
  asking.current = ask;
  // An answer that was overtaken by a later one, or by `put`, is dropped.
  const turn = useRef(0);
  useEffect(() => {
    turn.current += 1;
    const mine = turn.current;
    void asking.current().then((answer) => {
      if (turn.current !== mine) return;
      setHeld((before) => {
        const isThere = before?.key === key && before.answer.ok;
        return isThere && !answer.ok && isPassing(answer.problem) ? before : { key, answer };
      });
    });
  }, [key, round]);
  const reload = useCallback(() => setRound((n) => n + 1), []);
  const put = useCallback(
    (value: T) => {
      turn.current += 1;
      setHeld({ key, answer: { ok: true, value } });
    },
    [key],
  );
  if (held === undefined || held.key !== key) return { state: "loading", reload, put };
  const { answer } = held;
  return answer.ok
    ? { state: "there", value: answer.value, reload, put }
    : { state: "failed", problem: answer.problem, reload, put };
}
