import { useCallback, useState } from "preact/hooks";
import type { SittingBody } from "../server/http/wire/exercises.ts";
import { keepProgress, keptProgress } from "./device.ts";
import { type ClassProgress, NO_PROGRESS, progressFrom, progressToKeep, withSitting } from "./model/class/progress.ts";

/** How exercises went on this device. Nobody else is told. */
export interface ProgressHere {
  readonly progress: ClassProgress;
  /** Writes down what an answer, a hint or the reveal made of a sitting. */
  readonly took: (before: SittingBody, after: SittingBody) => void;
  /** Forgets all of it; gives back what brings it back. */
  readonly forget: () => () => void;
}

export function useProgress(): ProgressHere {
  const [progress, setProgress] = useState(() => progressFrom(keptProgress()));
  const put = useCallback((after: ClassProgress) => {
    keepProgress(progressToKeep(after));
    setProgress(after);
  }, []);
  return {
    progress,
    // Read anew: another tab may have written since.
    took: (before, after) => put(withSitting(progressFrom(keptProgress()), before, after, new Date().toISOString())),
    forget() {
      const before = progress;
      put(NO_PROGRESS);
      return () => put(before);
    },
  };
}
