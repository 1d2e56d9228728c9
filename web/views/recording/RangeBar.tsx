import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import {
  type Bounds,
  isWhole,
  moved,
  rangeWords,
  type TimeRange,
  wholeRange,
  zoomed,
} from "../../model/recording/range.ts";
import { CLOSER, STEP } from "../../model/recording/rangeKeys.ts";
import { ExactTimes } from "./ExactTimes.tsx";

interface RangeBarProps {
  readonly range: TimeRange;
  readonly bounds: Bounds;
  /** What the buttons go closer to, where it is in sight. */
  readonly aroundSeconds: number | undefined;
  readonly canGoBack: boolean;
  readonly canGoForward: boolean;
  readonly onRange: (range: TimeRange) => void;
  readonly onBack: () => void;
  readonly onForward: () => void;
}

/** What is shown, and the ways to change it; stays in sight while the page is read. */
export function RangeBar(props: RangeBarProps): JSX.Element {
  const { range, bounds, aroundSeconds, canGoBack, canGoForward, onRange, onBack, onForward } = props;
  const [typing, setTyping] = useState(false);
  const typeButton = useRef<HTMLButtonElement>(null);
  const middle = (range.fromSeconds + range.toSeconds) / 2;
  const isIn = aroundSeconds !== undefined && aroundSeconds >= range.fromSeconds && aroundSeconds < range.toSeconds;
  const by = (factor: number) => onRange(zoomed(range, factor, isIn ? aroundSeconds : middle, bounds));
  const whole = isWhole(range, bounds);
  // Two ends taken from each other may miss the least length by the last digit.
  const closest = range.toSeconds - range.fromSeconds <= bounds.leastSeconds * (1 + 1e-6);
  const button = (label: string, disabled: boolean, onClick: () => void) => (
    <button type="button" class="button small" disabled={disabled} onClick={onClick}>
      {label}
    </button>
  );
  return (
    <fieldset class="range-bar">
      <legend class="heard-only">What is shown</legend>
      <p class="range-words" aria-live="polite">
        {whole ? "All of it" : rangeWords(range)}
      </p>
      {button("Back", !canGoBack, onBack)}
      {button("Forward", !canGoForward, onForward)}
      {button("Earlier", range.fromSeconds <= 0, () => onRange(moved(range, -STEP, bounds)))}
      {button("Later", range.toSeconds >= bounds.seconds, () => onRange(moved(range, STEP, bounds)))}
      {button("Closer", closest, () => by(CLOSER))}
      {button("Wider", whole, () => by(1 / CLOSER))}
      <button type="button" class="button small" disabled={whole} onClick={() => onRange(wholeRange(bounds))}>
        Whole<span class="long-word"> recording</span>
      </button>
      <button
        ref={typeButton}
        type="button"
        class="button small"
        aria-expanded={typing}
        onClick={() => setTyping((before) => !before)}
      >
        Type times
      </button>
      {typing && (
        <ExactTimes
          key={`${range.fromSeconds} ${range.toSeconds}`}
          range={range}
          bounds={bounds}
          onRange={(next) => {
            onRange(next);
            setTyping(false);
            typeButton.current?.focus();
          }}
        />
      )}
    </fieldset>
  );
}
