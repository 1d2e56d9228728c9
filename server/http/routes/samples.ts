import { removeSamples } from "../../jobs/sampleHouse.ts";
import type { House } from "../house.ts";
import { removeRecordingFiles } from "../recordingFiles.ts";
import { type Route, route } from "../route.ts";
import { SamplesRemovedBody } from "../wire.ts";

export function sampleRoutes({
  store,
  folder,
  events,
  analyses,
  oneAtATime,
  samples,
  gauges,
}: House): readonly Route[] {
  return [
    route({
      method: "delete",
      path: "/samples",
      summary: "Remove every recording, job and lot that came with the house, and nothing else",
      notes: "They do not come back. Waits until a first start has put all of them in.",
      answers: { 200: { says: "How many went.", body: SamplesRemovedBody } },
      async handle() {
        await samples.settled; // else those still on their way in would come after
        const removed = await oneAtATime(async () => {
          const went = await removeSamples(store, folder);
          for (const hash of went.recordings) {
            analyses.cancel(hash);
            await removeRecordingFiles(folder, hash);
          }
          return went;
        });
        for (const hash of removed.recordings) await events.publish("recording", { hash });
        for (const id of removed.jobs) await events.publish("job", { id });
        for (const id of removed.lots) {
          await gauges.stop(id);
          await events.publish("lot", { id });
        }
        const { recordings, jobs, lots } = removed;
        return { status: 200, body: { recordings: recordings.length, jobs: jobs.length, lots: lots.length } };
      },
    }),
  ];
}
