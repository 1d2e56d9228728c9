import { randomUUID } from "node:crypto";
import { z } from "zod";
import { freeJobId } from "../../jobs/shortId.ts";
import type { StoredJob, Written } from "../../store/store.ts";
import type { House } from "../house.ts";
import { cardOf, jobBody } from "../jobBody.ts";
import { Problem } from "../problem.ts";
import { type Answer, type Route, route } from "../route.ts";
import { jobSheet } from "../sheet.ts";
import { JobBody, JobChangeBody, JobInputBody, RunBody, RunChangeBody } from "../wire.ts";

const TAG = { ETag: "its revision in quotes" };

export function jobRoutes(house: House, random: () => number, version: string): readonly Route[] {
  const { store, events, stamp } = house;

  async function jobOf(id: string | undefined): Promise<StoredJob> {
    const job = await store.job(id ?? "");
    if (job) return job;
    throw new Problem("not-found", `There is no job ${id}.`, { nextSteps: ["See the list at /jobs."] });
  }

  async function answer(job: StoredJob, status = 200): Promise<Answer> {
    return { status, body: await jobBody(house, job), headers: { ETag: tagOf(job) } };
  }

  async function written(id: string, result: Written<StoredJob>): Promise<StoredJob> {
    if (result.ok) return result.value;
    if (result.error === "missing") return jobOf(id); // it went while we wrote
    return refuseStale(result.current);
  }

  async function refuseStale(current: StoredJob): Promise<never> {
    throw new Problem("stale", `The newest revision is ${current.revision}.`, {
      current: await jobBody(house, current),
      headers: { ETag: tagOf(current) },
    });
  }

  /** For what hangs on a job and has no revision of its own. */
  async function jobAt(id: string | undefined, revision: number): Promise<StoredJob> {
    const job = await jobOf(id);
    return job.revision === revision ? job : refuseStale(job);
  }

  return [
    route({
      method: "get",
      path: "/jobs",
      summary: "All jobs, newest first, with their wheel lines",
      answers: { 200: { says: "The jobs; none is an empty list.", body: z.array(JobBody) } },
      async handle() {
        const bodies: JobBody[] = [];
        for (const job of await store.jobs()) bodies.push(await jobBody(house, job));
        return { status: 200, body: bodies };
      },
    }),
    route({
      method: "post",
      path: "/jobs",
      summary: "Open a job",
      body: JobInputBody,
      answers: { 201: { says: "The job.", body: JobBody, headers: { ...TAG, Location: "its address" } } },
      async handle({ body }) {
        const at = stamp();
        const id = await freeJobId(store, random);
        const job = { id, revision: 1, createdAt: at, changedAt: at, sample: false, body };
        await store.addJob(job);
        await events.publish("job", { id, revision: 1 });
        const { headers, ...rest } = await answer(job, 201);
        return { ...rest, headers: { ...headers, Location: `/api/v1/jobs/${id}` } };
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}",
      summary: "One job",
      answers: { 200: { says: "The job.", body: JobBody, headers: TAG } },
      problems: ["not-found"],
      handle: async ({ params }) => answer(await jobOf(params["id"])),
    }),
    route({
      method: "patch",
      path: "/jobs/{id}",
      summary: "Change entries of a job card; the others stay",
      body: JobChangeBody,
      ifMatch: true,
      answers: { 200: { says: "The job as it is now.", body: JobBody, headers: TAG } },
      problems: ["not-found"],
      async handle({ params, body, revision }) {
        const before = await jobOf(params["id"]);
        const card = JobInputBody.parse({ ...cardOf(before), ...body });
        const job = await written(before.id, await store.changeJob(before.id, revision, card, stamp()));
        await events.publish("job", { id: job.id, revision: job.revision });
        return answer(job);
      },
    }),
    route({
      method: "delete",
      path: "/jobs/{id}",
      summary: "Remove a job with its runs; what was heard stays",
      ifMatch: true,
      answers: { 204: { says: "It is gone." } },
      problems: ["not-found"],
      async handle({ params, revision }) {
        const { id } = await jobOf(params["id"]);
        await written(id, await store.removeJob(id, revision));
        await events.publish("job", { id });
        return { status: 204 };
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}/runs",
      summary: "When a job listened",
      notes:
        "Of the job's receivers, what came during its runs belongs to it; without any run, what came since it was opened.",
      answers: { 200: { says: "The runs; none is an empty list.", body: z.array(RunBody) } },
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: await store.runsOf((await jobOf(params["id"])).id) }),
    }),
    route({
      method: "post",
      path: "/jobs/{id}/runs",
      summary: "Start listening for a job",
      notes: "While a run goes on there is no second one: it is given back instead.",
      ifMatch: true,
      answers: {
        201: { says: "The run that has begun.", body: RunBody },
        200: { says: "The run that goes on.", body: RunBody },
      },
      problems: ["not-found"],
      async handle({ params, revision }) {
        const job = await jobAt(params["id"], revision);
        const open = (await store.runsOf(job.id)).find(({ endedAt }) => endedAt === null);
        if (open) return { status: 200, body: open };
        const run = { id: randomUUID().slice(0, 8), startedAt: stamp(), endedAt: null };
        await store.addRun(job.id, run);
        await events.publish("job", { id: job.id, revision: job.revision });
        return { status: 201, body: run };
      },
    }),
    route({
      method: "patch",
      path: "/jobs/{id}/runs/{run}",
      summary: "Stop listening",
      body: RunChangeBody,
      ifMatch: true,
      answers: { 200: { says: "The run, ended.", body: RunBody } },
      problems: ["not-found"],
      async handle({ params, revision }) {
        const job = await jobAt(params["id"], revision);
        const run = (await store.runsOf(job.id)).find(({ id }) => id === params["run"]);
        if (!run) throw new Problem("not-found", `Job ${job.id} has no run ${params["run"]}.`);
        if (run.endedAt !== null) return { status: 200, body: run };
        const endedAt = stamp();
        await store.endRun(job.id, run.id, endedAt);
        await events.publish("job", { id: job.id, revision: job.revision });
        return { status: 200, body: { ...run, endedAt } };
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}/sheet",
      summary: "The hand-over sheet, a page to print",
      answers: { 200: { says: "A page of HTML.", body: "page" } },
      problems: ["not-found"],
      async handle({ params }) {
        const body = await jobBody(house, await jobOf(params["id"]));
        const receivers = (await house.hub.receivers()).filter(({ id }) => body.receiverIds.includes(id));
        const recordings = (await store.recordings()).filter(({ hash }) => body.recordingHashes.includes(hash));
        const heardBy = [...receivers, ...recordings].map(({ name }) => name);
        return { status: 200, body: jobSheet(body, { heardBy, printedAt: stamp(), version }) };
      },
    }),
  ];
}

function tagOf(job: StoredJob): string {
  return `"${job.revision}"`;
}
