import type { ComponentChildren, JSX } from "preact";

/** What stands around a student's pages: a name and nothing to press, since all else is not for a seat. */
export function SeatShell({ children }: { readonly children: ComponentChildren }): JSX.Element {
  return (
    <div class="seat-shell">
      <header class="top">
        <span class="name">Wheelgram</span>
      </header>
      <main id="main">{children}</main>
    </div>
  );
}
