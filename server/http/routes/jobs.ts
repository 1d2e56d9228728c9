import { randomUUID } from "node:crypto";
import { z } from "zod";
import { emptyJob } from "../../jobs/jobCard.ts";
import { freeJobId } from "../../jobs/shortId.ts";
import type { StoredJob, Written } from "../../store/store.ts";
import { emptyBin, goesAt } from "../bin.ts";
import type { House } from "../house.ts";
import { bodyOf, cardOf, jobBody, visitOf } from "../jobBody.ts";
import { jobCurves } from "../jobCurves.ts";
import { exportCsv, exportJson } from "../jobExport.ts";
import { changesOf, earlierCards } from "../jobHistory.ts";
import { puttingRight } from "../jobPuttingRight.ts";
import { jobWheel } from "../jobWheel.ts";
import { Problem } from "../problem.ts";
import { type Answer, type Route, route } from "../route.ts";
import { jobSheet } from "../sheet.ts";
import {
  CurveBody,
  EarlierBody,
  JobBody,
  JobChangeBody,
  JobHistoryBody,
  JobInputBody,
  JobNewBody,
  PuttingRightBody,
  RemovedJobBody,
  RunBody,
  RunChangeBody,
  WakeBody,
  WheelMoreBody,
} from "../wire.ts";

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
        const all = await store.jobs();
        for (const job of all) bodies.push(await jobBody(house, job, all));
        return { status: 200, body: bodies };
      },
    }),
    route({
      method: "post",
      path: "/jobs",
      summary: "Open a job",
      body: JobNewBody,
      answers: { 201: { says: "The job.", body: JobBody, headers: { ...TAG, Location: "its address" } } },
      async handle({ body }) {
        const at = stamp();
        const id = await freeJobId(store, random);
        const card = JobInputBody.parse({ ...emptyJob(), ...body });
        const job = { id, revision: 1, createdAt: at, changedAt: at, sample: false, body: card };
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
      notes: "Where an entry has a time, `now` stands for the server's, so that a tablet's clock plays no part.",
      body: JobChangeBody,
      ifMatch: true,
      answers: { 200: { says: "The job as it is now.", body: JobBody, headers: TAG } },
      problems: ["not-found"],
      async handle({ params, body, revision }) {
        const before = await jobOf(params["id"]);
        const { says = `Changed: ${Object.keys(body).join(", ")}`, ...change } = body;
        const at = stamp();
        const card = JobInputBody.parse({ ...cardOf(before), ...timed(change, at) });
        const job = await written(before.id, await store.changeJob(before.id, revision, card, at, says));
        await events.publish("job", { id: job.id, revision: job.revision });
        return answer(job);
      },
    }),
    route({
      method: "delete",
      path: "/jobs/{id}",
      summary: "Put a job with its runs into the bin, for 30 days; what was heard stays",
      ifMatch: true,
      answers: { 204: { says: "It is in the bin." } },
      problems: ["not-found"],
      async handle({ params, revision }) {
        const { id } = await jobOf(params["id"]);
        await written(id, await store.removeJob(id, revision, stamp()));
        await events.publish("job", { id });
        return { status: 204 };
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}/changes",
      summary: "What was done to a card, newest first, each with the entries as they were before",
      notes: "A change is taken back by writing its `before` onto the newest revision.",
      answers: { 200: { says: "The changes; none is an empty list.", body: z.array(JobHistoryBody) } },
      problems: ["not-found"],
      async handle({ params }) {
        const job = await jobOf(params["id"]);
        return { status: 200, body: changesOf(cardOf(job), await store.jobChanges(job.id)) };
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}/earlier",
      summary: "Earlier cards of the same plate, then of the same vehicle: what the shop knows of it",
      answers: { 200: { says: "The cards, newest first; none is an empty list.", body: z.array(EarlierBody) } },
      problems: ["not-found"],
      async handle({ params }) {
        const job = await jobOf(params["id"]);
        return { status: 200, body: earlierCards(job, await store.jobs()) };
      },
    }),
    route({
      method: "post",
      path: "/jobs/{id}/anonymous",
      summary: "Wipe plate, complaint and names off a card, and its changes with them; readings stay",
      ifMatch: true,
      answers: { 200: { says: "The job as it is now.", body: JobBody, headers: TAG } },
      problems: ["not-found"],
      async handle({ params, revision }) {
        const before = await jobOf(params["id"]);
        const card = { ...cardOf(before), ...NAMELESS };
        const job = await written(before.id, await store.wipeJob(before.id, revision, card, stamp()));
        await events.publish("job", { id: job.id, revision: job.revision });
        return answer(job);
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}/putting-right",
      summary: "The vehicle's list against what was heard, what to register, and the relearn",
      answers: { 200: { says: "All of it.", body: PuttingRightBody } },
      problems: ["not-found"],
      async handle({ params }) {
        return { status: 200, body: puttingRight(await jobBody(house, await jobOf(params["id"]))) };
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}/wheels/{position}",
      summary: "What is known of one wheel: why it is silent, what to do next, the rules, its loss",
      notes: "A position as in an address: `left front` is `left-front`. An answer to a step goes onto the card.",
      answers: { 200: { says: "The wheel.", body: WheelMoreBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const job = await jobOf(params["id"]);
        const position = (params["position"] ?? "").replaceAll("-", " ");
        const body = await jobWheel(house, job, position);
        if (body) return { status: 200, body };
        throw new Problem("not-found", `Job ${job.id} has no wheel ${position}.`, { nextSteps: ["See its card."] });
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}/curves",
      summary: "Pressure and temperature of each wheel's sensor, at this visit and before",
      answers: { 200: { says: "A curve for each wheel with a sensor ID.", body: z.array(CurveBody) } },
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: await jobCurves(house, await jobOf(params["id"])) }),
    }),
    route({
      method: "get",
      path: "/jobs/{id}/export",
      summary: "A job as a file: all of it as JSON, or its wheels as CSV",
      query: z.strictObject({ as: z.enum(["json", "csv"]).default("json") }),
      answers: {
        200: { says: "The file.", body: "file", headers: { "Content-Disposition": "its name" } },
      },
      problems: ["not-found"],
      async handle({ params, query }) {
        const stored = await jobOf(params["id"]);
        const visit = await visitOf(house, stored);
        const job = bodyOf(visit);
        const headers = (type: string) => ({
          "Content-Type": `${type}; charset=utf-8`,
          "Content-Disposition": `attachment; filename="job-${job.id}.${query.as}"`,
        });
        if (query.as === "csv") return { status: 200, body: exportCsv(job), headers: headers("text/csv") };
        const whole = {
          job,
          runs: await store.runsOf(job.id),
          changes: changesOf(cardOf(stored), await store.jobChanges(job.id)),
          telegrams: visit.telegrams,
        };
        return { status: 200, body: exportJson(whole), headers: headers("application/json") };
      },
    }),
    route({
      method: "get",
      path: "/removed-jobs",
      summary: "The bin: removed jobs, newest first",
      answers: { 200: { says: "The jobs; none is an empty list.", body: z.array(RemovedJobBody) } },
      async handle() {
        await emptyBin(store, stamp());
        const removed = await store.removedJobs();
        return {
          status: 200,
          body: removed.map((job) => {
            const { plate, vehicle } = cardOf(job);
            return {
              id: job.id,
              plate,
              vehicle,
              removedAt: job.removedAt,
              goesAt: goesAt(job.removedAt),
            };
          }),
        };
      },
    }),
    route({
      method: "post",
      path: "/removed-jobs/{id}/restore",
      summary: "Take a job out of the bin",
      answers: { 200: { says: "The job.", body: JobBody, headers: TAG } },
      problems: ["not-found"],
      async handle({ params }) {
        const id = params["id"] ?? "";
        if (!(await store.restoreJob(id))) {
          throw new Problem("not-found", `There is no job ${id} in the bin.`, { nextSteps: ["See /removed-jobs."] });
        }
        const job = await jobOf(id);
        await events.publish("job", { id, revision: job.revision });
        return answer(job);
      },
    }),
    route({
      method: "post",
      path: "/jobs/{id}/wakes",
      summary: "Mark that a wheel is woken now",
      notes: "Added to the card whatever its revision is, so that two tablets may tap at once.",
      body: WakeBody,
      answers: { 200: { says: "The job as it is now.", body: JobBody, headers: TAG } },
      problems: ["not-found"],
      async handle({ params, body: { position } }) {
        const at = stamp();
        for (;;) {
          const before = await jobOf(params["id"]);
          const card = cardOf(before);
          const wakes = [...card.wakes, { position, at }].slice(-MOST_WAKES);
          const says = `Woken: ${position}`;
          const result = await store.changeJob(before.id, before.revision, { ...card, wakes }, at, says);
          if (!result.ok) continue; // somebody wrote meanwhile, or it went: looked at anew
          await events.publish("job", { id: before.id, revision: result.value.revision });
          return answer(result.value);
        }
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}/runs",
      summary: "When a job listened",
      notes:
        "Of the job's receivers, what came during its runs belongs to it; without any run, what came in the twelve hours since it was opened.",
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
      notes: "Without a paper it has no size of its own and takes the printer's.",
      query: z.strictObject({ paper: z.enum(["a4", "letter"]).optional() }),
      answers: { 200: { says: "A page of HTML.", body: "page" } },
      problems: ["not-found"],
      async handle({ params, query: { paper } }) {
        const job = await jobOf(params["id"]);
        const body = await jobBody(house, job);
        const receivers = (await house.hub.receivers()).filter(({ id }) => body.receiverIds.includes(id));
        const recordings = (await store.recordings()).filter(({ hash }) => body.recordingHashes.includes(hash));
        const heardBy = [...receivers, ...recordings].map(({ name }) => name);
        const runs = receivers.length > 0 ? await store.runsOf(job.id) : [];
        const context = { heardBy, runs, before: body.proof, paper, printedAt: stamp(), version };
        return { status: 200, body: jobSheet(body, context) };
      },
    }),
  ];
}

/** What names a person, or a car and so its owner. */
const NAMELESS = { plate: "", complaint: "", signedBefore: "", lampOffBy: "" } as const;

/** With the server's time wherever a change says `now`. */
function timed({ wakes, answers, wheels, proofFrom, ...rest }: JobChangeBody, now: string): JobChangeBody {
  const here = <T extends { readonly at: string }>(one: T): T => (one.at === NOW ? { ...one, at: now } : one);
  return {
    ...rest,
    ...(wakes === undefined ? {} : { wakes: wakes.map(here) }),
    ...(answers === undefined ? {} : { answers: answers.map(here) }),
    ...(proofFrom === undefined ? {} : { proofFrom: proofFrom === NOW ? now : proofFrom }),
    ...(wheels === undefined
      ? {}
      : {
          wheels: wheels.map((wheel) => ({
            ...wheel,
            replaced: wheel.replaced === null ? null : here(wheel.replaced),
          })),
        }),
  };
}

const NOW = "now";
/** As many as a card may hold; of more the oldest go. */
const MOST_WAKES = 500;

function tagOf(job: StoredJob): string {
  return `"${job.revision}"`;
}
