import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { type RecordingView, searchOf, viewOf } from "../../model/recording/address.ts";
import { type Bounds, isSame, type TimeRange } from "../../model/recording/range.ts";

/** What of the view is to be otherwise, or how that follows from the view as it is by then. */
export type ViewChange = Partial<RecordingView> | ((view: RecordingView) => Partial<RecordingView>);

export interface ViewHere {
  readonly view: RecordingView;
  readonly canGoBack: boolean;
  readonly canGoForward: boolean;
  readonly setRange: (range: TimeRange) => void;
  /** To the view before; what one gesture changed counts as one. */
  readonly goBack: () => void;
  readonly goForward: () => void;
  /** Changes what is shown. A new range or frame is a step that one can go back from, the rest is not. */
  readonly change: (change: ViewChange) => void;
}

/** Changes with less than this between them are one gesture. */
const GESTURE_MS = 700;
/** A browser refuses addresses that change too often. */
const ADDRESS_MS = 250;

/**
 * What of a recording is looked at, kept in the address. The browser's own history is the history of views: each
 * gesture is one step of it, so that its buttons, its keys and ours do the same.
 *
 * Changes are drawn once a picture of the screen, however many pointer events come between two.
 */
export function useRecordingView(bounds: Bounds): ViewHere {
  const [view, setView] = useState(() => viewOf(location.search, bounds));
  const [place, setPlace] = useState(() => ({ at: placeInHistory(), last: placeInHistory() }));
  const newest = useRef(view);
  const changedMs = useRef(Number.NEGATIVE_INFINITY);
  const isStep = useRef(false);
  const drawing = useRef<number>(undefined);
  const writing = useRef<ReturnType<typeof setTimeout>>(undefined);

  const draw = useCallback(() => {
    drawing.current ??= requestAnimationFrame(() => {
      drawing.current = undefined;
      setView(newest.current);
    });
  }, []);
  const write = useCallback(() => {
    clearTimeout(writing.current);
    writing.current = undefined;
    const search = searchOf(newest.current, bounds);
    const step = isStep.current;
    isStep.current = false;
    if (search === location.search) return;
    const address = location.pathname + search;
    if (!step) return history.replaceState(history.state, "", address);
    const at = placeInHistory() + 1;
    history.pushState({ view: at }, "", address);
    setPlace({ at, last: at });
  }, [bounds]);

  useEffect(() => {
    const follow = () => {
      clearTimeout(writing.current);
      writing.current = undefined;
      isStep.current = false;
      changedMs.current = Number.NEGATIVE_INFINITY;
      newest.current = viewOf(location.search, bounds);
      setView(newest.current);
      const at = placeInHistory();
      setPlace(({ last }) => ({ at, last: Math.max(at, last) }));
    };
    // Whatever a finger or a mouse does next is another gesture; keys and the wheel go on with theirs.
    const press = () => {
      changedMs.current = Number.NEGATIVE_INFINITY;
    };
    window.addEventListener("popstate", follow);
    window.addEventListener("pointerdown", press, { capture: true });
    return () => {
      window.removeEventListener("popstate", follow);
      window.removeEventListener("pointerdown", press, { capture: true });
      clearTimeout(writing.current);
      if (drawing.current !== undefined) cancelAnimationFrame(drawing.current);
      drawing.current = undefined;
    };
  }, [bounds]);

  const change = useCallback(
    (asked: ViewChange) => {
      const before = newest.current;
      const what = typeof asked === "function" ? asked(before) : asked;
      newest.current = { ...before, ...what };
      const moved = !isSame(newest.current.range, before.range) || newest.current.frame !== before.frame;
      if (moved) {
        const nowMs = performance.now();
        if (nowMs - changedMs.current > GESTURE_MS) {
          // What the gesture before left unwritten belongs to it, not to this one.
          if (writing.current !== undefined) {
            newest.current = before;
            write();
            newest.current = { ...before, ...what };
          }
          isStep.current = true;
          // At once: somebody who goes back in the middle of it comes to where it began.
          write();
        }
        changedMs.current = nowMs;
      }
      clearTimeout(writing.current);
      writing.current = setTimeout(write, ADDRESS_MS);
      // What is typed has to be back in its box before the next key; ranges come with every pointer event.
      if ("range" in what) draw();
      else setView(newest.current);
    },
    [draw, write],
  );
  const setRange = useCallback((range: TimeRange) => change({ range }), [change]);
  const go = useCallback(
    (by: 1 | -1) => {
      if (writing.current !== undefined) write();
      history.go(by);
    },
    [write],
  );
  const goBack = useCallback(() => go(-1), [go]);
  const goForward = useCallback(() => go(1), [go]);
  return {
    view,
    canGoBack: place.at > 0 || isStep.current,
    canGoForward: place.at < place.last,
    setRange,
    goBack,
    goForward,
    change,
  };
}

/** How many views of this recording lie before this one in the browser's history. */
function placeInHistory(): number {
  const state: unknown = history.state;
  return typeof state === "object" && state !== null && "view" in state && typeof state.view === "number"
    ? state.view
    : 0;
}
