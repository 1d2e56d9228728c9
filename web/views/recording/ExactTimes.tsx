import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { type Bounds, between, decimalsFor, type TimeRange } from "../../model/recording/range.ts";
import { timeTyped } from "../../model/recording/timeTyped.ts";
import { TextField } from "../Fields.tsx";

interface ExactTimesProps {
  readonly range: TimeRange;
  readonly bounds: Bounds;
  readonly onRange: (range: TimeRange) => void;
}

/** From and to, as somebody types them. */
export function ExactTimes({ range, bounds, onRange }: ExactTimesProps): JSX.Element {
  const decimals = decimalsFor((range.toSeconds - range.fromSeconds) / 1000);
  const [from, setFrom] = useState(range.fromSeconds.toFixed(decimals));
  const [to, setTo] = useState(range.toSeconds.toFixed(decimals));
  const [tried, setTried] = useState(false);
  const [fromTyped, toTyped] = [timeTyped(from, bounds.seconds), timeTyped(to, bounds.seconds)];
  return (
    <form
      class="exact-times"
      aria-label="Show from one time to another"
      onSubmit={(event) => {
        event.preventDefault();
        setTried(true);
        if (fromTyped.ok && toTyped.ok) onRange(between(fromTyped.seconds, toTyped.seconds, bounds));
      }}
    >
      <TextField
        label="From"
        unit="s"
        numeric
        value={from}
        wrong={tried && !fromTyped.ok ? fromTyped.says : undefined}
        onInput={setFrom}
      />
      <TextField
        label="To"
        unit="s"
        numeric
        value={to}
        wrong={tried && !toTyped.ok ? toTyped.says : undefined}
        onInput={setTo}
      />
      <button type="submit" class="button main">
        Show it
      </button>
    </form>
  );
}
