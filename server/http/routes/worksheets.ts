import { z } from "zod";
import { LayoutShape } from "../../../decoders/layouts/schema.ts";
import { parseLayout } from "../../../decoders/layouts/validate.ts";
import { parseGaugeLog } from "../../../decoders/workshop/gaugeLog.ts";
import { LEAST_TEST_FRAMES } from "../../../decoders/workshop/prove.ts";
import { testFrames } from "../../../decoders/workshop/testFrames.ts";
import {
  bringLog,
  caughtOn,
  decide,
  doAgain,
  emptyWorksheet,
  takeBack,
  type Worksheet,
} from "../../../decoders/workshop/worksheet.ts";
import { shortId } from "../../jobs/shortId.ts";
import type { StoredRecording, StoredWorksheet } from "../../store/store.ts";
import { bringHeard, bringRecordings, worksheetOfJob } from "../broughtIn.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Answer, type Route, route } from "../route.ts";
import { isBuiltin } from "../shelf.ts";
import {
  StoredWorksheetBody,
  UnreadBody,
  WorkedOutBody,
  WorksheetBringBody,
  WorksheetHeadBody,
  WorksheetLogNewBody,
  WorksheetNewBody,
  WorksheetStepBody,
  WorksheetStepped,
} from "../wire/workshop.ts";
import { LayoutEntryBody } from "../wire.ts";

const TAG = { ETag: "its revision in quotes" };
/** As a layout file may have. */
const MOST_NOTES = 4000;
/** Of a file that was sent on, with its bursts and logs. */
const MOST_FILE_BYTES = 32 * 2 ** 20;

/** The layout workshop: worksheets, what they come to, and the way onto the shelf. */
export function worksheetRoutes(house: House, random: () => number): readonly Route[] {
  const { store, shelf, workshop, analyses, stamp } = house;

  async function sheetOf(id: string | undefined): Promise<StoredWorksheet> {
    const sheet = await store.worksheet(id ?? "");
    if (sheet) return sheet;
    throw new Problem("not-found", `There is no worksheet ${id}.`, {
      nextSteps: ["See the list on the page of the layouts."],
    });
  }

  function bodyOf({ body, ...head }: StoredWorksheet): StoredWorksheetBody {
    return { ...head, worksheet: body as StoredWorksheetBody["worksheet"] };
  }

  function answer(sheet: StoredWorksheet, status = 200): Answer {
    return { status, body: bodyOf(sheet), headers: { ETag: `"${sheet.revision}"` } };
  }

  /** @throws Problem where somebody else changed it meanwhile. */
  async function change(
    id: string | undefined,
    revision: number,
    make: (sheet: Worksheet) => Worksheet | Promise<Worksheet>,
  ): Promise<Answer> {
    const before = await sheetOf(id);
    if (before.revision !== revision) return refuseStale(before);
    const after = await make(before.body);
    if (after === before.body) return answer(before);
    const written = await store.changeWorksheet(before.id, revision, after, stamp());
    if (written.ok) return answer(written.value);
    return written.error === "stale" ? refuseStale(written.current) : answer(await sheetOf(id));
  }

  function refuseStale(current: StoredWorksheet): never {
    throw new Problem("stale", `The newest revision is ${current.revision}.`, {
      current: bodyOf(current),
      headers: { ETag: `"${current.revision}"` },
    });
  }

  async function all(hashes: readonly string[]): Promise<readonly StoredRecording[]> {
    const found: StoredRecording[] = [];
    for (const hash of hashes) {
      const recording = await store.recording(hash);
      const nextSteps = ["See the list at /recordings."];
      if (!recording) throw new Problem("not-found", `There is no recording ${hash}.`, { nextSteps });
      found.push(recording);
    }
    return found;
  }

  async function freeId(): Promise<string> {
    for (;;) {
      const id = shortId(random);
      if (!(await store.worksheet(id))) return id;
    }
  }

  async function workedOut({ id, revision, body }: StoredWorksheet) {
    return workshop.workOut(id, revision, body).catch((error: unknown) => {
      const because = error instanceof Error ? error.message : String(error);
      const nextSteps = ["Take the last step back.", "Leave out bursts that may not belong together."];
      throw new Problem("not-now", `It could not be worked out. ${because}`, { nextSteps });
    });
  }

  return [
    route({
      method: "get",
      path: "/worksheets",
      summary: "What is worked on in the layout workshop, changed last first",
      answers: { 200: { says: "The worksheets; none is an empty list.", body: z.array(WorksheetHeadBody) } },
      handle: async () => ({ status: 200, body: await store.worksheets() }),
    }),
    route({
      method: "post",
      path: "/worksheets",
      summary: "Begin a worksheet",
      notes: `Empty, with what was heard on the visits of a job and nothing read, or out of a file that somebody sent on:
the worksheet that GET /worksheets/{id} tells. A file has at most ${MOST_FILE_BYTES / 2 ** 20} MB.`,
      body: WorksheetNewBody,
      mostBytes: MOST_FILE_BYTES,
      answers: {
        201: {
          says: "Its id; the whole is at its address.",
          body: WorksheetHeadBody,
          headers: { ...TAG, Location: "its address" },
        },
      },
      problems: ["not-found"],
      async handle({ body }) {
        const made: Worksheet =
          "job" in body
            ? await worksheetOfJob(house, body.job)
            : "title" in body
              ? emptyWorksheet(body.title)
              : (body.worksheet as Worksheet);
        const at = stamp();
        const head = { id: await freeId(), revision: 1, createdAt: at, changedAt: at, title: made.title };
        const jobId = "job" in body ? body.job : null;
        const sheet = { ...head, burstCount: made.bursts.length, jobId, body: made };
        await store.addWorksheet(sheet);
        const { body: _body, ...begun } = sheet;
        const headers = { ETag: '"1"', Location: `/api/v1/worksheets/${sheet.id}` };
        return { status: 201, body: begun, headers };
      },
    }),
    route({
      method: "get",
      path: "/worksheets/{id}",
      summary: "A worksheet with its bursts, what was decided, and every step to it",
      answers: { 200: { says: "The worksheet.", body: StoredWorksheetBody, headers: TAG } },
      problems: ["not-found"],
      handle: async ({ params }) => answer(await sheetOf(params["id"])),
    }),
    route({
      method: "delete",
      path: "/worksheets/{id}",
      summary: "Remove a worksheet",
      ifMatch: true,
      notes: "Until the next start of the server it can be taken back. What it put on the shelf stays there.",
      answers: { 204: { says: "It is gone." } },
      problems: ["not-found", "stale"],
      async handle({ params, revision }) {
        const sheet = await sheetOf(params["id"]);
        if (sheet.revision !== revision) return refuseStale(sheet);
        await store.removeWorksheet(sheet.id, stamp());
        return { status: 204 };
      },
    }),
    route({
      method: "post",
      path: "/worksheets/{id}/restore",
      summary: "Take back that a worksheet was removed",
      answers: { 200: { says: "The worksheet as it was.", body: StoredWorksheetBody, headers: TAG } },
      problems: ["not-found"],
      async handle({ params }) {
        await store.restoreWorksheet(params["id"] ?? "");
        return answer(await sheetOf(params["id"]));
      },
    }),
    route({
      method: "post",
      path: "/worksheets/{id}/steps",
      summary: "Decide something, take the last step back, or do it again",
      notes: "A change names only what is decided; the rest stays. null leaves it to what is likeliest.",
      body: WorksheetStepBody,
      ifMatch: true,
      answers: {
        200: { says: "What is decided now; bursts and logs are as they were.", body: WorksheetStepped, headers: TAG },
      },
      problems: ["not-found", "stale"],
      async handle({ params, body, revision }) {
        const { headers = {}, body: made } = await change(params["id"], revision, (sheet) => stepped(sheet, body));
        const { worksheet, ...head } = made as StoredWorksheetBody;
        const { now, done, takenBack } = worksheet;
        return { status: 200, body: { ...head, now, done, takenBack }, headers };
      },
    }),
    route({
      method: "post",
      path: "/worksheets/{id}/bursts",
      summary: "Bring in the bursts that nothing reads, of recordings or of what receivers heard in the last minutes",
      notes:
        "Bursts of one that was brought in before stay as they were, so that nothing moves under what was decided.",
      body: WorksheetBringBody,
      ifMatch: true,
      notKept: true,
      answers: { 200: { says: "The worksheet with them.", body: StoredWorksheetBody, headers: TAG } },
      problems: ["not-found", "stale"],
      handle: ({ params, body, revision }) =>
        change(params["id"], revision, async (sheet) => {
          if ("recordings" in body) return bringRecordings(house, sheet, await all([...new Set(body.recordings)]));
          const to = stamp();
          const from = new Date(Date.parse(to) - 60_000 * body.minutes).toISOString();
          const known = new Map((await store.receivers()).map((one) => [one.id, one]));
          let brought = sheet;
          for (const id of body.receivers) {
            const receiver = known.get(id);
            const nextSteps = ["See the list at /receivers."];
            if (!receiver) throw new Problem("not-found", `There is no receiver ${id}.`, { nextSteps });
            brought = await bringHeard(house, brought, receiver, from, to);
          }
          return brought;
        }),
    }),
    route({
      method: "get",
      path: "/unread",
      summary: "Recordings with bursts that no layout reads, those with most first",
      answers: { 200: { says: "The recordings; none is an empty list.", body: z.array(UnreadBody) } },
      async handle() {
        const names = new Map((await store.recordings()).map(({ hash, name }) => [hash, name]));
        const counts = await store.unreadCounts();
        return { status: 200, body: counts.map(({ hash, count }) => ({ hash, name: names.get(hash) ?? hash, count })) };
      },
    }),
    route({
      method: "post",
      path: "/worksheets/{id}/logs",
      summary: "Bring in a log of a gauge or thermometer",
      notes: `A table in text: a line each of time, kPa and °C. A time is RFC 3339, or seconds from where the first source
begins. Pressure is gauge pressure. One of the same name takes the place of the one before.`,
      body: WorksheetLogNewBody,
      ifMatch: true,
      notKept: true,
      answers: { 200: { says: "The worksheet with it.", body: StoredWorksheetBody, headers: TAG } },
      problems: ["not-found", "stale"],
      handle: ({ params, body, revision }) =>
        change(params["id"], revision, (sheet) => {
          const first = sheet.sources.find(({ id }) => sheet.now.sources.includes(id));
          const parsed = parseGaugeLog(body.text, first?.fromSeconds);
          if (!parsed.ok) {
            const complaints = [{ path: `line ${parsed.line}`, found: parsed.found, allowed: parsed.allowed }];
            throw new Problem("not-fitting", `The log ${body.name} cannot be read.`, { complaints });
          }
          const readings = parsed.readings.map(({ atSeconds, kPa = null, degC = null }) => ({ atSeconds, kPa, degC }));
          return bringLog(sheet, body.name, readings);
        }),
    }),
    route({
      method: "get",
      path: "/worksheets/{id}/worked-out",
      summary: "What a worksheet comes to: groups, frames, what moves, fields, check, proof, and the layout",
      notes: "Worked out anew after each change, which takes up to some seconds.",
      answers: { 200: { says: "All of it.", body: WorkedOutBody } },
      problems: ["not-found", "not-now"],
      async handle({ params }) {
        const sheet = await sheetOf(params["id"]);
        return { status: 200, body: { ...(await workedOut(sheet)), revision: sheet.revision } };
      },
    }),
    route({
      method: "post",
      path: "/worksheets/{id}/shelf",
      summary: "Put the layout that a worksheet comes to on the shelf",
      notes: `Needs an id, a title, a source, and at least ${LEAST_TEST_FRAMES} telegrams kept aside that it reads: those
become its test frames. What speaks against it goes into its notes. Recordings with bursts that nothing reads are analysed again.`,
      ifMatch: true,
      answers: { 201: { says: "It is on the shelf.", body: LayoutEntryBody, headers: { Location: "its address" } } },
      problems: ["not-found", "not-fitting", "conflict", "stale", "not-now"],
      async handle({ params, revision }) {
        const sheet = await sheetOf(params["id"]);
        if (sheet.revision !== revision) return refuseStale(sheet);
        const { frames } = await workedOut(sheet);
        const complaints = lacking(sheet.body);
        if (!frames?.layout) {
          complaints.push(...(frames?.complaints ?? []), {
            path: "layout",
            found: "none",
            allowed: "bursts that give one",
          });
          throw new Problem("not-fitting", "The bursts do not come to a layout yet.", { complaints });
        }
        const { layout, proof } = frames;
        const byId = new Map(caughtOn(sheet.body).map((caught) => [caught.id, caught]));
        const hits = proof.tested.filter(({ verified }) => verified);
        const tests = testFrames(
          layout,
          hits.map(({ ids }) => ids.flatMap((id) => byId.get(id) ?? [])),
        );
        if (tests.length < LEAST_TEST_FRAMES) {
          const allowed = `${LEAST_TEST_FRAMES} telegrams kept aside that it reads`;
          complaints.push({ path: "proof", found: String(tests.length), allowed });
        }
        if (complaints.length > 0) throw new Problem("not-fitting", "It cannot go on the shelf yet.", { complaints });
        const { source, notes } = sheet.body.now.naming;
        const doubts = proof.doubts.map((doubt) => `In doubt: ${doubt}`).join("\n");
        const parsed = parseLayout({
          ...layout,
          origin: { published: `own measurement: ${source}` },
          // What speaks against it comes whole, whatever else there is to say.
          ...(doubts + notes === "" ? {} : { notes: `${doubts}\n${notes}`.trim().slice(0, MOST_NOTES) }),
        });
        if (!parsed.ok) throw new Problem("not-fitting", "The layout does not fit.", { complaints: parsed.complaints });
        if (isBuiltin(layout.id)) {
          throw new Problem("conflict", `${layout.id} is a layout of the house, which stays as it is.`, {
            nextSteps: ["Give yours an id of its own."],
          });
        }
        const newest = (await shelf.versions(layout.id)).at(-1);
        if (newest && JSON.stringify(newest.layout) === JSON.stringify(parsed.layout)) {
          throw new Problem("conflict", `It is on the shelf already, as version ${newest.version} of ${layout.id}.`, {
            nextSteps: ["Change something, or leave it as it is."],
          });
        }
        const entry = await shelf.add(parsed.layout, stamp(), tests);
        // Whatever was not read so far may be of the same kind.
        for (const { hash } of await store.unreadCounts()) {
          const recording = await store.recording(hash);
          if (recording) void analyses.start(recording).catch(() => undefined); // the store has why
        }
        return { status: 201, body: entry, headers: { Location: `/api/v1/layouts/${entry.id}` } };
      },
    }),
  ];
}

function lacking({ now: { naming } }: Worksheet) {
  const complaints: { path: string; found: string; allowed: string }[] = [];
  const lack = (path: string, allowed: string) => complaints.push({ path, found: "nothing", allowed });
  if (!LayoutShape.shape.id.safeParse(naming.id).success) {
    const found = naming.id || "nothing";
    complaints.push({
      path: "naming.id",
      found,
      allowed: "small letters, digits and single hyphens, such as quay-trolley",
    });
  }
  if (naming.title === "") lack("naming.title", "a line for people");
  if (naming.source === "") lack("naming.source", "where the knowledge comes from: who measured it, on what, when");
  return complaints;
}

function stepped(sheet: Worksheet, step: WorksheetStepBody): Worksheet {
  if ("takeBack" in step) return takeBack(sheet);
  if ("doAgain" in step) return doAgain(sheet);
  if ("title" in step) return step.title === sheet.title ? sheet : { ...sheet, title: step.title };
  return decide(sheet, step.says, step.change as Partial<Worksheet["now"]>);
}
