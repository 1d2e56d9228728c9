import type { JSX } from "preact";
import { momentWords, type SharedAxis } from "../../model/compare/overlay.ts";
import { isSame, isWhole, type TimeRange, zoomed } from "../../model/recording/range.ts";
import { CLOSER } from "../../model/recording/rangeKeys.ts";

interface SharedRangeBarProps {
  readonly range: TimeRange;
  readonly axis: SharedAxis;
  /** All of the frames that are compared. */
  readonly frames: TimeRange;
  readonly canGoBack: boolean;
  readonly onRange: (range: TimeRange) => void;
  readonly onFrames: () => void;
  readonly onWhole: () => void;
  readonly onBack: () => void;
}

/** What is shown, counted from zero, and the ways to change it; stays in sight while the page is read. */
export function SharedRangeBar(props: SharedRangeBarProps): JSX.Element {
  const { range, axis, frames, canGoBack, onRange, onFrames, onWhole, onBack } = props;
  const { bounds, leadSeconds } = axis;
  const length = range.toSeconds - range.fromSeconds;
  const whole = isWhole(range, bounds);
  // Around zero where it is in sight: there everything is lined up.
  const isIn = leadSeconds >= range.fromSeconds && leadSeconds < range.toSeconds;
  const around = isIn ? leadSeconds : (range.fromSeconds + range.toSeconds) / 2;
  const by = (factor: number) => onRange(zoomed(range, factor, around, bounds));
  return (
    <fieldset class="range-bar">
      <legend class="heard-only">What is shown</legend>
      <p class="range-words" aria-live="polite">
        {sharedRangeWords(range, axis)}
      </p>
      <button
        type="button"
        class="button small"
        disabled={length <= bounds.leastSeconds * (1 + 1e-6)}
        onClick={() => by(CLOSER)}
      >
        Closer
      </button>
      <button type="button" class="button small" disabled={whole} onClick={() => by(1 / CLOSER)}>
        Wider
      </button>
      <button type="button" class="button small" disabled={!canGoBack} onClick={onBack}>
        Back
      </button>
      <button type="button" class="button small" disabled={isSame(range, frames)} onClick={onFrames}>
        Frames
      </button>
      <button type="button" class="button small" disabled={whole} onClick={onWhole}>
        Whole<span class="long-word"> recordings</span>
      </button>
    </fieldset>
  );
}

export function sharedRangeWords(range: TimeRange, axis: SharedAxis): string {
  const step = (range.toSeconds - range.fromSeconds) / 100;
  return `${momentWords(range.fromSeconds, axis, step)} to ${momentWords(range.toSeconds, axis, step)}`;
}
