import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import { jobs } from "../calls/jobs.ts";
import { keptEntry } from "../device.ts";
import { useLoaded } from "../loaded.ts";
import { ENTRIES } from "../model/route.ts";
import { go } from "../router.ts";
import { Page } from "../views/Page.tsx";
import { Waiting } from "../views/Waiting.tsx";

/** Leads on to the entry that was used last; at first to the job that came with the house. */
export function StartPage(): JSX.Element {
  const entry = ENTRIES.find((name) => name === keptEntry());
  const loaded = useLoaded("jobs", jobs);
  const sample = loaded.state === "there" ? loaded.value.find((job) => job.sample) : undefined;
  useEffect(() => {
    if (entry !== undefined) go({ page: entry }, { replace: true });
    else if (loaded.state === "there")
      go(sample ? { page: "job", id: sample.id } : { page: "jobs" }, { replace: true });
  }, [entry, loaded.state, sample]);
  return (
    <Page title="Wheelgram">
      <Waiting loaded={loaded} what="the jobs">
        {() => <p>Opening …</p>}
      </Waiting>
      <p>
        <a class="button" href="/sending">
          No job: is it sending?
        </a>
      </p>
    </Page>
  );
}
