import type { JSX } from "preact";
import { Empty } from "../views/Empty.tsx";
import { Page } from "../views/Page.tsx";

/** The entry whose pages come later says so, and where to go meanwhile. */
export function LaterPage(): JSX.Element {
  return (
    <Page title="Class">
      <Empty
        says="Exercises and the class board come later. Until then the sample recordings show the cases."
        action={{ label: "Open the recordings", href: "/recordings" }}
      />
    </Page>
  );
}
