import type { JSX } from "preact";

interface StepsRowProps<Name extends string> {
  readonly label: string;
  readonly steps: readonly {
    readonly name: Name;
    readonly title: string;
    /** What it has come to, in a few words. */
    readonly state: string;
  }[];
  /** The one that is shown. */
  readonly at: Name;
  readonly onWalk: (to: Name) => void;
}

/** The steps of a piece of work in a row, free to walk back and forth; each has an address of its own. */
export function StepsRow<Name extends string>({ label, steps, at, onWalk }: StepsRowProps<Name>): JSX.Element {
  return (
    <nav class={`steps-row steps-row-${steps.length}`} aria-label={label}>
      <ol>
        {steps.map(({ name, title, state }, i) => (
          <li key={name}>
            <a
              href={`?at=${name}`}
              aria-current={name === at ? "step" : undefined}
              onClick={(event) => {
                event.preventDefault();
                onWalk(name);
              }}
            >
              <span class="step-title">
                {i + 1} {title}
              </span>
              <span class="step-state">{state}</span>
            </a>
          </li>
        ))}
      </ol>
    </nav>
  );
}
