import type { JSX } from "preact";

/** What a page over plain HTTP cannot do, on the page itself; nothing where it came over HTTPS or from this computer. */
export function PlainHttpNote(): JSX.Element | null {
  if (globalThis.isSecureContext) return null;
  return (
    <section class="plain-http" aria-label="Without encryption">
      <p>This page came without encryption, so anybody on this network can read along.</p>
      <p>
        Listening, cards, recordings and what you type work as ever. Text is copied out of a box by hand, each tab has a
        stream of its own while it is shown, and a file is sent anew where one that is there would be known by its
        print.
      </p>
    </section>
  );
}
