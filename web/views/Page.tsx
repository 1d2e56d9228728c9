import type { ComponentChildren, JSX } from "preact";
import { useEffect } from "preact/hooks";

interface PageProps {
  readonly title: string;
  /** One sentence below the title. */
  readonly lead?: ComponentChildren;
  /** Notes, marks and sources, in the column beside. */
  readonly margin?: ComponentChildren;
  readonly children: ComponentChildren;
}

/** A page as all of them are laid out: a title, what it is about, and a margin that prints. */
export function Page({ title, lead, margin, children }: PageProps): JSX.Element {
  useEffect(() => {
    document.title = `${title} · Wheelgram`;
  }, [title]);
  return (
    <div class={margin === undefined ? "sheet sheet-wide" : "sheet"}>
      <div class="sheet-main">
        <h1 tabIndex={-1}>{title}</h1>
        {lead !== undefined && <p class="lead">{lead}</p>}
        {children}
      </div>
      {margin !== undefined && (
        <aside class="sheet-margin" aria-label="Notes and sources">
          {margin}
        </aside>
      )}
    </div>
  );
}
