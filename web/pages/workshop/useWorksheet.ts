import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import type { Decided } from "../../../decoders/workshop/worksheet.ts";
import type { Answer, Problem } from "../../api.ts";
import { type StoredSheet, stepWorksheet, type WorkedSheet, workedOut, worksheet } from "../../calls/worksheets.ts";
import { type Loaded, useLoaded } from "../../loaded.ts";

export interface SheetHere {
  readonly loaded: Loaded<StoredSheet>;
  readonly worked: Loaded<WorkedSheet>;
  /** What is shown was worked out from an earlier state. */
  readonly isBehind: boolean;
  readonly busy: boolean;
  readonly problem: Problem | undefined;
  /** Sends a change that is based on the sheet as it is; whether it was taken. */
  readonly run: (change: (sheet: StoredSheet) => Promise<Answer<StoredSheet>>) => Promise<boolean>;
  readonly decide: (says: string, change: Partial<Decided>) => Promise<boolean>;
}

/** A worksheet, what it comes to, and the way to change it. */
export function useWorksheet(id: string): SheetHere {
  const loaded = useLoaded(`worksheet ${id}`, () => worksheet(id));
  const worked = useLoaded(`worked out ${id}`, () => workedOut(id));
  const sheet = loaded.state === "there" ? loaded.value : undefined;
  const revision = sheet?.revision;
  const { reload } = worked;
  useEffect(() => {
    if (revision !== undefined) reload();
  }, [revision, reload]);
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const latest = useRef(sheet);
  latest.current = sheet;
  const queue = useRef<Promise<unknown>>(Promise.resolve());

  const run = useCallback(
    (change: (sheet: StoredSheet) => Promise<Answer<StoredSheet>>) => {
      // One after the other, each from what the one before made.
      const done = queue.current.then(async () => {
        if (!latest.current) return false;
        setBusy(true);
        const answer = await change(latest.current);
        setBusy(false);
        setProblem(answer.ok ? undefined : answer.problem);
        if (answer.ok) {
          latest.current = answer.value;
          loaded.put(answer.value);
        } else if (answer.problem.status === 412) loaded.reload();
        return answer.ok;
      });
      queue.current = done;
      return done;
    },
    [loaded.put, loaded.reload],
  );
  const decide = useCallback(
    (says: string, change: Partial<Decided>) => run((now) => stepWorksheet(now.id, now.revision, { says, change })),
    [run],
  );
  const isBehind = worked.state !== "there" || worked.value.revision !== revision;
  return { loaded, worked, isBehind, busy, problem, run, decide };
}
