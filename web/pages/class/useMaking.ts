import { useEffect, useState } from "preact/hooks";
import type { MakingBody, MakingNewBody } from "../../../server/http/wire/making.ts";
import type { Answer, Problem } from "../../api.ts";
import { makeTelegram } from "../../calls/making.ts";
import { type Breaks, breaksBody } from "../../model/class/makingDraft.ts";

/** While a slider moves nothing is asked. */
const REST_MS = 350;

interface Making {
  /** The newest that there is. */
  readonly made: MakingBody | undefined;
  /** Whether it is of something else than what is written now. */
  readonly isOld: boolean;
  readonly problem: Problem | undefined;
  readonly again: () => void;
}

/** The telegram as it is written, made anew whenever that changes. @param values `undefined`: they do not fit yet. */
export function useMaking(
  layout: string,
  values: MakingNewBody["values"] | undefined,
  breaks: Breaks,
  seed: number,
): Making {
  const [made, setMade] = useState<{ readonly key: string; readonly body: MakingBody }>();
  const [failed, setFailed] = useState<{ readonly key: string; readonly problem: Problem }>();
  const [round, setRound] = useState(0);
  const asked = values && { layout, values, breaks: breaksBody(breaks), seed };
  const key = asked ? JSON.stringify(asked) : "";
  useEffect(() => {
    if (!asked) return;
    let isOld = false;
    const take = (answer: Answer<MakingBody>) => {
      if (isOld) return;
      if (answer.ok) setMade({ key, body: answer.value });
      else setFailed({ key, problem: answer.problem });
    };
    const timer = setTimeout(() => void makeTelegram(asked).then(take), REST_MS);
    return () => {
      isOld = true;
      clearTimeout(timer);
    };
    // What is asked follows from the key.
  }, [key, round]);
  return {
    made: made?.body,
    isOld: made !== undefined && made.key !== key,
    problem: failed?.key === key && made?.key !== key ? failed.problem : undefined,
    again: () => setRound((n) => n + 1),
  };
}
