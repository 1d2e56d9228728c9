import type { JSX } from "preact";
import type { Entry } from "../model/route.ts";

type Drawn = Entry | "actions";

/** The five entries, and the list of actions, as line drawings on a 24 px grid; a word always stands beside. */
export function Icon({ name }: { readonly name: Drawn }): JSX.Element {
  return (
    <svg class="icon" viewBox="0 0 24 24" aria-hidden="true">
      <path d={PATHS[name]} />
    </svg>
  );
}

const PATHS: Readonly<Record<Drawn, string>> = {
  // A card with lines; a line with ticks and a dot; a two-level ribbon; a ruler over a brace; a board on legs.
  jobs: "M4 3h16v18H4zM7 8h10M7 12h10M7 16h6",
  bench: "M2 15h20M5 11v8M12 7v12M19 11v8M8.5 15a1 1 0 1 0 .1 0",
  recordings: "M2 17h4V7h5v10h3V7h3v10h5",
  layouts:
    "M2 5h20v6H2zM7 5v3M12 5v3M17 5v3M3 15c0 2 4 1 4.500 3.500C8 16 12 17 12 15M13 15c0 2 4 1 4.500 3.500C18 16 21 17 21 15",
  // A list with a key beside each line.
  actions: "M3 4h5v5H3zM3 14h5v5H3zM12 6.500h9M12 16.500h9",
  class: "M3 4h18v11H3zM8 20l2-5M16 20l-2-5M7 8h10M7 11h6",
};
