import type { JSX } from "preact";
import type { WheelLineBody } from "../../server/http/wire.ts";

export type Strength = WheelLineBody["strength"];

interface MarkProps {
  readonly strength: Strength;
  /** Stand in place of the strength's own words. */
  readonly words?: string | undefined;
}

/** One of the three strengths, told by word, shape and fill at once. */
export function Mark({ strength, words = strength }: MarkProps): JSX.Element {
  if (strength === "as expected") return <span class="mark">{words}</span>;
  return (
    <span class={`mark ${strength === "stop" ? "mark-stop" : "mark-look"}`}>
      <svg class="shape" viewBox="0 0 12 12" aria-hidden="true">
        {strength === "stop" ? <path d="M1 1h10v10H1z" /> : <path d="M6 1l5.5 10h-11z" />}
      </svg>
      {words}
    </span>
  );
}
