import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { type RecordingView, searchOf, viewOf } from "../../model/recording/address.ts";
import { type Bounds, isSame, type TimeRange } from "../../model/recording/range.ts";

export interface ViewHere extends RecordingView {
  readonly canGoBack: boolean;
  readonly setRange: (range: TimeRange) => void;
  /** To the range before; what one gesture changed counts as one. */
  readonly goBack: () => void;
  readonly choose: (frame: string) => void;
}

/** Changes with less than this between them are one gesture. */
const GESTURE_MS = 700;
/** A browser refuses addresses that change too often. */
const ADDRESS_MS = 250;
const MOST_BACK = 100;

/** What of a recording is looked at, kept in the address. */
export function useRecordingView(bounds: Bounds): ViewHere {
  const [view, setView] = useState(() => viewOf(location.search, bounds));
  const [before, setBefore] = useState<readonly TimeRange[]>([]);
  const newest = useRef(view);
  newest.current = view;
  const changedMs = useRef(0);

  useEffect(() => {
    const follow = () => setView(viewOf(location.search, bounds));
    window.addEventListener("popstate", follow);
    return () => window.removeEventListener("popstate", follow);
  }, [bounds]);
  useEffect(() => {
    const search = searchOf(view, bounds);
    if (search === location.search) return;
    const timer = setTimeout(() => history.replaceState(null, "", location.pathname + search), ADDRESS_MS);
    return () => clearTimeout(timer);
  }, [view, bounds]);

  const setRange = useCallback((range: TimeRange) => {
    const { range: old } = newest.current;
    if (isSame(range, old)) return;
    const nowMs = performance.now();
    if (nowMs - changedMs.current > GESTURE_MS) setBefore((all) => [...all, old].slice(-MOST_BACK));
    changedMs.current = nowMs;
    setView((all) => ({ ...all, range }));
  }, []);
  const goBack = useCallback(() => {
    const range = before.at(-1);
    if (!range) return;
    setBefore(before.slice(0, -1));
    changedMs.current = 0;
    setView((all) => ({ ...all, range }));
  }, [before]);
  const choose = useCallback((frame: string) => setView((all) => ({ ...all, frame })), []);
  return { ...view, canGoBack: before.length > 0, setRange, goBack, choose };
}
