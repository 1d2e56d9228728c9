import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import type { Decided } from "../../../decoders/workshop/worksheet.ts";
import type { Answer, Problem } from "../../api.ts";
import { type StoredSheet, stepWorksheet, type WorkedSheet, workedOut, worksheet } from "../../calls/worksheets.ts";
import { type Loaded, useLoaded } from "../../loaded.ts";

export interface SheetHere {
  readonly loaded: Loaded<StoredSheet>;
  readonly worked: Loaded<WorkedSheet>;
  /** What is shown was worked out from an earlier state: nothing that goes by its places can be decided. */
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
  const [failed, setFailed] = useState<Problem>();
  const worked = useLoaded(`worked out ${id}`, async () => {
    const answer = await workedOut(id);
    setFailed(answer.ok ? undefined : answer.problem);
    return answer;
  });
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
    (says: string, change: Partial<Decided>) => run((now) => stepWorksheet(now, { says, change })),
    [run],
  );
  const isBehind = worked.state !== "there" || worked.value.revision !== revision;
  // Somebody else went on: what they decided belongs to what was worked out of it.
  const isOvertaken = worked.state === "there" && revision !== undefined && worked.value.revision > revision;
  useEffect(() => {
    if (isOvertaken) loaded.reload();
  }, [isOvertaken, loaded.reload]);
  return { loaded, worked, isBehind, busy, problem: problem ?? failed, run, decide };
}
