import type { JSX } from "preact";
import { type Bounds, isWhole, rangeWords, type TimeRange, wholeRange, zoomed } from "../../model/recording/range.ts";
import { CLOSER } from "../../model/recording/rangeKeys.ts";

interface RangeBarProps {
  readonly range: TimeRange;
  readonly bounds: Bounds;
  /** What the buttons go closer to, where it is in sight. */
  readonly aroundSeconds: number | undefined;
  readonly canGoBack: boolean;
  readonly onRange: (range: TimeRange) => void;
  readonly onBack: () => void;
}

/** What is shown, and the ways to change it; stays in sight while the page is read. */
export function RangeBar(props: RangeBarProps): JSX.Element {
  const { range, bounds, aroundSeconds, canGoBack, onRange, onBack } = props;
  const middle = (range.fromSeconds + range.toSeconds) / 2;
  const isIn = aroundSeconds !== undefined && aroundSeconds >= range.fromSeconds && aroundSeconds < range.toSeconds;
  const by = (factor: number) => onRange(zoomed(range, factor, isIn ? aroundSeconds : middle, bounds));
  const whole = isWhole(range, bounds);
  // Two ends taken from each other may miss the least length by the last digit.
  const closest = range.toSeconds - range.fromSeconds <= bounds.leastSeconds * (1 + 1e-6);
  return (
    <fieldset class="range-bar">
      <legend class="heard-only">What is shown</legend>
      <p class="range-words" aria-live="polite">
        {whole ? "All of it" : rangeWords(range)}
      </p>
      <button type="button" class="button small" disabled={closest} onClick={() => by(CLOSER)}>
        Closer
      </button>
      <button type="button" class="button small" disabled={whole} onClick={() => by(1 / CLOSER)}>
        Wider
      </button>
      <button type="button" class="button small" disabled={!canGoBack} onClick={onBack}>
        Back
      </button>
      <button type="button" class="button small" disabled={whole} onClick={() => onRange(wholeRange(bounds))}>
        Whole<span class="long-word"> recording</span>
      </button>
    </fieldset>
  );
}
