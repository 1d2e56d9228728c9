import { createReadStream } from "node:fs";
import { readFile } from "node:fs/promises";
import { pipeline } from "node:stream/promises";
import type { Response } from "express";
import { z } from "zod";
import type { StudyInput } from "../../study/input.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import type { OpenStudy } from "../studies.ts";
import { burstPage } from "../study/bursts.ts";
import { type Digest, type Digests, ladderOf } from "../study/digests.ts";
import { RESULT_TYPES, resultFiles, resultNames, resultPath, typeOf, writeTar } from "../study/resultFiles.ts";
import { createFinder, type Finder } from "../study/whereabouts.ts";
import {
  BurstsQuery,
  InputsQuery,
  StudyBody,
  StudyBurstBody,
  StudyHeadBody,
  type StudyInputBody,
  StudyInputsBody,
  StudyNewBody,
  StudyResultFileBody,
  StudySettingsBody,
} from "../wire/studies.ts";

/** On a page where nobody says how many. */
const LIMIT = 50;
/** A settings file, and as many inputs as may be named one by one. */
const MOST_BODY_BYTES = 8 * 2 ** 20;
const FILE = { "Content-Disposition": "its name" };

/** Many recordings with one set of settings. */
export function studyRoutes({ studies, store, folder }: House): readonly Route[] {
  const finder = () => createFinder(store, folder);

  return [
    route({
      method: "get",
      path: "/study-settings",
      summary: "Every setting of a study with its default",
      answers: {
        200: { says: "The settings, as a file for POST /studies or `wheelgram study`.", body: StudySettingsBody },
      },
      handle: async () => ({ status: 200, body: { settings: await studies.defaults(), folder: folder.inPlaceDir } }),
    }),
    route({
      method: "get",
      path: "/studies",
      summary: "All studies, newest first",
      answers: { 200: { says: "The studies; none is an empty list.", body: z.array(StudyHeadBody) } },
      handle: async () => ({ status: 200, body: studies.list() }),
    }),
    route({
      method: "post",
      path: "/studies",
      summary: "Freeze the settings of a study and begin it",
      notes: `Inputs are recordings of this house, and files or folders below the folder in-place. Of a folder all files
are walked; what is no recording is named with its reason. What the settings leave out has its default, and all of it
is written out. A trial takes five of the inputs, spread over all of them.`,
      body: StudyNewBody,
      mostBytes: MOST_BODY_BYTES,
      answers: { 201: { says: "It has begun.", body: StudyHeadBody, headers: { Location: "its address" } } },
      problems: ["not-fitting"],
      async handle({ body }) {
        const head = (await studies.add(body)).head();
        return { status: 201, body: head, headers: { Location: `/api/v1/studies/${head.id}` } };
      },
    }),
    route({
      method: "get",
      path: "/studies/{id}",
      summary: "One study: how far it is, its settings, and how far up the ladder its bursts came",
      answers: { 200: { says: "The study.", body: StudyBody } },
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: await bodyOf(studies.one(params["id"])) }),
    }),
    route({
      method: "delete",
      path: "/studies/{id}",
      summary: "Remove a study with its results, for good; the recordings stay",
      answers: { 204: { says: "It is gone." } },
      problems: ["not-found"],
      async handle({ params }) {
        await studies.remove(params["id"]);
        return { status: 204 };
      },
    }),
    route({
      method: "post",
      path: "/studies/{id}/start",
      summary: "Go on with a study that was stopped, or try again what failed",
      notes:
        "What is done stays as it is. `retryFailed` tries the failed inputs again, and no others than those that wait.",
      body: z.strictObject({ retryFailed: z.boolean().default(false) }),
      answers: { 202: { says: "It goes on.", body: StudyHeadBody } },
      problems: ["not-found", "conflict"],
      handle: async ({ params, body }) => ({
        status: 202,
        body: (await studies.start(params["id"], body.retryFailed)).head(),
      }),
    }),
    route({
      method: "post",
      path: "/studies/{id}/stop",
      summary: "Stop a study within a second; what is done is kept",
      answers: { 202: { says: "It is being stopped.", body: StudyHeadBody } },
      problems: ["not-found", "conflict"],
      handle: async ({ params }) => ({ status: 202, body: (await studies.cancel(params["id"])).head() }),
    }),
    route({
      method: "get",
      path: "/studies/{id}/inputs",
      summary: "The inputs of a study, each with its state, in pages",
      notes: `?state and ?reached take those alone. ?after is the index after which the page begins, ?limit ${LIMIT} where
it is left out. The next page is at the address that the header Link gives with rel="next"; on the last page there is none.`,
      query: InputsQuery,
      answers: {
        200: {
          says: "One page, and how many fit in all.",
          body: StudyInputsBody,
          headers: { Link: 'the next page, rel="next"' },
        },
      },
      problems: ["not-found"],
      async handle({ params, query }) {
        const { state, reached, after = -1, limit = LIMIT } = query;
        const there = studies.one(params["id"]).study();
        const ofState = (there?.study.inputs() ?? []).filter((one) => state === undefined || one.state === state);
        const fitting: StudyInput[] = [];
        for (const input of ofState) {
          if (reached === undefined || (await digestOf(input, there?.digests))?.reached === reached)
            fitting.push(input);
        }
        const rest = fitting.filter(({ index }) => index > after);
        const here = finder();
        const inputs = await Promise.all(rest.slice(0, limit).map((one) => inputBody(one, there?.digests, here)));
        const last = inputs.at(-1);
        const more = last && rest.length > limit ? { ...query, after: last.index } : undefined;
        return { status: 200, body: { total: fitting.length, inputs }, ...linkTo(`${params["id"]}/inputs`, more) };
      },
    }),
    route({
      method: "get",
      path: "/studies/{id}/bursts",
      summary: "The bursts of a study that stopped at a rung of the ladder, with where to look at them, in pages",
      notes: `?outcome is a rung, telegram or repeat; ?input one input alone. ?after is INPUT.BURST, ?limit ${LIMIT} where
it is left out. The next page is at the address that the header Link gives with rel="next".`,
      query: BurstsQuery,
      answers: {
        200: { says: "One page.", body: z.array(StudyBurstBody), headers: { Link: 'the next page, rel="next"' } },
      },
      problems: ["not-found"],
      async handle({ params, query }) {
        const there = studies.one(params["id"]).study();
        if (!there) return { status: 200, body: [] };
        const [input = -1, burst = -1] = query.after?.split(".").map(Number) ?? [];
        const asked = {
          outcome: query.outcome,
          input: query.input,
          after: { input, burst },
          limit: query.limit ?? LIMIT,
        };
        const { bursts, next } = await burstPage(there.study, there.digests, finder(), asked);
        const more = next === undefined ? undefined : { ...query, after: next };
        return { status: 200, body: bursts, ...linkTo(`${params["id"]}/bursts`, more) };
      },
    }),
    route({
      method: "get",
      path: "/studies/{id}/results",
      summary: "The result files of a study: tables, schema, statistics, plots, manifest, citation",
      answers: { 200: { says: "The files; none before there are results.", body: z.array(StudyResultFileBody) } },
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: await resultFiles(studies.one(params["id"]).folder) }),
    }),
    route({
      method: "get",
      path: "/studies/{id}/results/{file}",
      summary: "One result file; a slash in its name is written %2F",
      answers: {
        200: { says: "The file.", body: "file", types: RESULT_TYPES, headers: FILE },
      },
      problems: ["not-found"],
      async handle({ params }, response) {
        const { folder: at, head } = studies.one(params["id"]);
        const name = params["file"] ?? "";
        if (!(await resultNames(at)).includes(name)) {
          throw new Problem("not-found", `Study ${head().id} has no result file ${name}.`, {
            nextSteps: ["See the list at /studies/{id}/results."],
          });
        }
        const saved = name.replaceAll("/", "-");
        response.status(200).set({ ...fileHeaders(typeOf(name), saved), "Content-Security-Policy": OF_A_FILE });
        await sent(response, () => pipeline(createReadStream(resultPath(at, name)), response));
        return undefined;
      },
    }),
    route({
      method: "get",
      path: "/studies/{id}/results.tar",
      summary: "All results of a study with its settings and layouts, as one file",
      answers: { 200: { says: "The file.", body: "file", types: ["application/x-tar"], headers: FILE } },
      problems: ["not-found", "not-now"],
      async handle({ params }, response) {
        const { folder: at, head } = studies.one(params["id"]);
        if (!head().hasResults) {
          throw new Problem("not-now", "There are no results yet.", { nextSteps: ["Wait until no input waits."] });
        }
        const name = `study-${head().id}`;
        response.status(200).set(fileHeaders("application/x-tar", `${name}.tar`));
        await sent(response, () => writeTar(at, name, response));
        return undefined;
      },
    }),
  ];

  async function bodyOf(open: OpenStudy): Promise<StudyBody> {
    const there = open.study();
    const done = there?.study.inputs().filter(({ state }) => state === "done") ?? [];
    const digests: Digest[] = [];
    for (const { index } of done) if (there) digests.push(await there.digests.of(index));
    return {
      ...open.head(),
      settings: there ? { ...there.study.settings } : null,
      ladder: ladderOf(digests),
      citation: await citationOf(open.folder),
    };
  }
}

/** `undefined` of an input that is not done. */
async function digestOf({ state, index }: StudyInput, digests: Digests | undefined): Promise<Digest | undefined> {
  return state === "done" ? digests?.of(index) : undefined;
}

async function inputBody(input: StudyInput, digests: Digests | undefined, finder: Finder): Promise<StudyInputBody> {
  const digest = await digestOf(input, digests);
  const { index, name, hash = null, bytes = null, state, because = null, remark = null, share } = input;
  return {
    index,
    name,
    hash,
    bytes,
    state,
    because,
    remark,
    share: state === "running" ? (share ?? 0) : state === "done" ? 1 : 0,
    bursts: digest?.burstCount ?? null,
    telegrams: digest?.telegrams ?? null,
    reached: digest?.reached ?? null,
    ...(await finder.where(input)),
  };
}

/** As the file CITATION.txt of the results has it. */
async function citationOf(folder: string): Promise<string | null> {
  if (!(await resultNames(folder)).includes("CITATION.txt")) return null;
  return readFile(resultPath(folder, "CITATION.txt"), "utf8");
}

function linkTo(below: string, query: Readonly<Record<string, unknown>> | undefined) {
  if (query === undefined) return {};
  const told = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) if (value !== undefined) told.set(name, String(value));
  return { headers: { Link: `</api/v1/studies/${below}?${told}>; rel="next"` } };
}

/** A plot that is opened by itself has its own look in it, and nothing in it runs. */
const OF_A_FILE = "default-src 'none'; style-src 'unsafe-inline'; sandbox";

function fileHeaders(type: string, name: string): Record<string, string> {
  const plain = name.replaceAll(/[^\w.-]/g, "_");
  // A plot is shown on the page, everything else is saved.
  const how = type.startsWith("image/") ? "inline" : "attachment";
  return {
    "Content-Type": type,
    "Content-Disposition": `${how}; filename="${plain}"; filename*=UTF-8''${encodeURIComponent(name)}`,
    "Cache-Control": "no-store",
  };
}

/** Half of a file must not pass for the whole. */
async function sent(response: Response, work: () => Promise<void>): Promise<void> {
  try {
    await work();
  } catch (error) {
    if (!response.headersSent) throw error;
    response.destroy();
  }
}
