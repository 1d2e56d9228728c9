import { useEffect, useMemo } from "preact/hooks";
import type { JobBody } from "../../../server/http/wire.ts";
import { jobs } from "../../calls/jobs.ts";
import { useAsked } from "../../views/recording/useAsked.ts";

/** Where sensors sit, as the job says that a recording belongs to. */
export interface Wheels {
  readonly known: boolean;
  /** Such as `left front`. */
  readonly wheelOf: (identity: string) => string | undefined;
  /** Its place in the order of the job's lines. */
  readonly rankOf: (identity: string) => number | undefined;
  /** Asks for it: every job is looked at, so nothing is asked before somebody wants it. */
  readonly ask: () => void;
}

/** @param wanted Whether it is asked without anybody opening the menu. */
export function useWheels(hash: string, wanted: boolean): Wheels {
  const asked = useAsked<readonly JobBody[]>("jobs", jobs, wanted);
  const { ask } = asked;
  useEffect(() => {
    if (wanted) ask(true);
  }, [wanted, ask]);
  const lines = useMemo(
    () =>
      asked.value?.filter(({ recordingHashes }) => recordingHashes.includes(hash)).flatMap((job) => job.lines) ?? [],
    [asked.value, hash],
  );
  return useMemo(() => {
    const placeOf = (identity: string) => lines.findIndex((line) => line.identity === identity);
    return {
      known: lines.some(({ identity }) => identity !== null),
      wheelOf: (identity) => lines[placeOf(identity)]?.position,
      rankOf: (identity) => (placeOf(identity) === -1 ? undefined : placeOf(identity)),
      ask: () => asked.ask(true),
    };
  }, [lines, asked]);
}
