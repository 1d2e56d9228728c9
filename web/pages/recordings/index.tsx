import type { JSX } from "preact";
import { Empty } from "../../views/Empty.tsx";
import { Page } from "../../views/Page.tsx";

export function RecordingsPage(): JSX.Element {
  return (
    <Page title="Recordings">
      <Empty
        says="Recordings have no pages yet; the command line reads them: npx wheelgram analyse FILE."
        action={{ label: "Go to the jobs", href: "/jobs" }}
      />
    </Page>
  );
}

export function RecordingPage({ hash }: { readonly hash: string }): JSX.Element {
  return (
    <Page title={`Recording ${hash.slice(0, 8)}`}>
      <Empty
        says="A recording has no page yet; the command line reads it: npx wheelgram analyse FILE."
        action={{ label: "Go to the jobs", href: "/jobs" }}
      />
    </Page>
  );
}
