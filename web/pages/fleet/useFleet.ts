import { useCallback, useEffect, useState } from "preact/hooks";
import type { FleetBody } from "../../../server/http/wire/fleet.ts";
import type { Problem } from "../../api.ts";
import { fleet } from "../../calls/fleet.ts";

/** How the fleet stands, asked for once a second while the page is shown. */
export interface FleetSeen {
  /** The last one that came; `undefined` before the first. */
  readonly body: FleetBody | undefined;
  /** Why the last question had no answer. */
  readonly problem: Problem | undefined;
  /** Asks at once. */
  readonly look: () => void;
}

const EVERY_MS = 1000;

export function useFleet(): FleetSeen {
  const [body, setBody] = useState<FleetBody>();
  const [problem, setProblem] = useState<Problem>();
  const [round, setRound] = useState(0);
  useEffect(() => {
    let isOver = false;
    let timer: ReturnType<typeof setTimeout> | undefined;
    // The next question waits for the answer: with a server away it takes seconds.
    const ask = async () => {
      if (!document.hidden) {
        const answer = await fleet();
        if (isOver) return;
        setProblem(answer.ok ? undefined : answer.problem);
        if (answer.ok) setBody(answer.value);
        if (answer.ok && answer.value.fleet === null) return; // it stays alone until it is started anew
      }
      timer = setTimeout(ask, EVERY_MS);
    };
    void ask();
    return () => {
      isOver = true;
      clearTimeout(timer);
    };
  }, [round]);
  const look = useCallback(() => setRound((n) => n + 1), []);
  return { body, problem, look };
}
