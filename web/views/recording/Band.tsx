import type { ComponentChildren, JSX } from "preact";
import { useContext, useId, useState } from "preact/hooks";
import { BandsContext } from "./bands.ts";

interface BandProps {
  /** A sentence: what there is to see. */
  readonly heading: ComponentChildren;
  /** What the band is called where it is only heard. */
  readonly name: string;
  readonly howToRead: ComponentChildren;
  /** The same as figures. */
  readonly table: () => ComponentChildren;
  readonly children: ComponentChildren;
}

/** One stretch of the page of evidence: a sentence, a drawing, how to read it, and the same as a table. */
export function Band({ heading, name, howToRead, table, children }: BandProps): JSX.Element {
  const id = useId();
  const [open, setOpen] = useState(false);
  const { hidden, setHidden } = useContext(BandsContext);
  const isHidden = hidden.includes(name);
  const fold = (
    <button
      type="button"
      class="fold-button"
      aria-expanded={!isHidden}
      onClick={() => setHidden(isHidden ? hidden.filter((one) => one !== name) : [...hidden, name])}
    >
      {isHidden ? "Show" : "Fold away"}
      <span class="heard-only">: {name}</span>
    </button>
  );
  return (
    <section class={isHidden ? "evidence-band evidence-folded" : "evidence-band"} aria-labelledby={id}>
      <h2 id={id}>{heading}</h2>
      {!isHidden && children}
      {/* One place for the button, whichever way it is: it would lose the focus otherwise. */}
      <div class="band-foot">
        {!isHidden && (
          <>
            <details>
              <summary>
                How to read it<span class="heard-only">: {name}</span>
              </summary>
              <div class="how-to-read">{howToRead}</div>
            </details>
            <details onToggle={(event) => setOpen(event.currentTarget.open)}>
              <summary>
                As a table<span class="heard-only">: {name}</span>
              </summary>
              {open && table()}
            </details>
          </>
        )}
        {fold}
      </div>
    </section>
  );
}
