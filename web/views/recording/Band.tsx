import type { ComponentChildren, JSX } from "preact";
import { useId, useState } from "preact/hooks";

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
  return (
    <section class="evidence-band" aria-labelledby={id}>
      <h2 id={id}>{heading}</h2>
      {children}
      <div class="band-foot">
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
      </div>
    </section>
  );
}
