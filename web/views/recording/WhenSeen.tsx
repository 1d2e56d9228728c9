import type { ComponentChildren, JSX } from "preact";
import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { TimeRange } from "../../model/recording/range.ts";

interface WhenSeenProps {
  readonly range: TimeRange;
  /** What else the drawing is made of; it is drawn anew when one of these changes. */
  readonly of: readonly unknown[];
  readonly children: (range: TimeRange) => ComponentChildren;
}

/** A range that stands still for so long is shown by what is out of sight as well. */
const REST_MS = 200;
/** What comes into sight soon counts as seen. */
const AHEAD = "200px 0px";

/** Bands that follow a drag only while somebody sees them; out of sight they come along once it rests. */
export function WhenSeen({ range, of, children }: WhenSeenProps): JSX.Element {
  const box = useRef<HTMLDivElement>(null);
  const [isSeen, setSeen] = useState(true);
  const [rested, setRested] = useState(range);
  useEffect(() => {
    const element = box.current;
    if (!element) return;
    const observer = new IntersectionObserver((entries) => setSeen(entries.some((entry) => entry.isIntersecting)), {
      rootMargin: AHEAD,
    });
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  useEffect(() => {
    const timer = setTimeout(() => setRested(range), REST_MS);
    return () => clearTimeout(timer);
  }, [range]);
  const shown = isSeen ? range : rested;
  const drawn = useMemo(() => children(shown), [shown, ...of]);
  return <div ref={box}>{drawn}</div>;
}
