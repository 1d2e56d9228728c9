import type { JSX } from "preact";
import { Empty } from "../views/Empty.tsx";
import { Page } from "../views/Page.tsx";

export function MissingPage(): JSX.Element {
  return (
    <Page title="No such page">
      <Empty
        says={`No page has the address ${location.pathname}. It may have been typed wrong, or what it showed is gone.`}
        action={{ label: "Go to the jobs", href: "/jobs" }}
      />
    </Page>
  );
}
