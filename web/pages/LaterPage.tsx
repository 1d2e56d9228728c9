import type { JSX } from "preact";
import { Empty } from "../views/Empty.tsx";
import { Page } from "../views/Page.tsx";

/** The two entries whose pages come later say so, and where to go meanwhile. */
export function LaterPage({ entry }: { readonly entry: "bench" | "class" }): JSX.Element {
  return entry === "bench" ? (
    <Page title="Bench">
      <Empty
        says="Testing a box of sensors against a gauge comes later. Until then one sensor at a time can be tried."
        action={{ label: "Is it sending?", href: "/sending" }}
      />
    </Page>
  ) : (
    <Page title="Class">
      <Empty
        says="Exercises and the class board come later. Until then the sample recordings show the cases."
        action={{ label: "Open the recordings", href: "/recordings" }}
      />
    </Page>
  );
}
