import { randomUUID } from "node:crypto";
import { z } from "zod";
import { parseGaugeLog } from "../../../decoders/workshop/gaugeLog.ts";
import { emptyLot, type Lot, LotShape } from "../../bench/lot.ts";
import { written } from "../../bench/written.ts";
import { shortId } from "../../jobs/shortId.ts";
import { CSV_FOR_PROGRAMS } from "../../report/csv.ts";
import type { StoredLot } from "../../store/store.ts";
import { emptyBin, goesAt } from "../bin.ts";
import { spreadsheetDialect } from "../csvDialect.ts";
import { refuseFromNetwork } from "../guard.ts";
import type { House } from "../house.ts";
import { bodyOfLot, clockOf, headOf, type LotVisit, lotBody, lotOf, lotVisit } from "../lotBody.ts";
import { dataHash } from "../lotRecord/dataHash.ts";
import type { RecordContext } from "../lotRecord/record.ts";
import { lotCsv } from "../lotRecord/recordCsv.ts";
import { lotRecordPage } from "../lotRecord/recordHtml.ts";
import { lotJson } from "../lotRecord/recordJson.ts";
import { lotRecordPdf } from "../lotRecord/recordPdf.ts";
import { lotsCompared } from "../lotsCompared.ts";
import { Problem } from "../problem.ts";
import { type Answer, type Route, route } from "../route.ts";
import { readingsOf, specimenMore, widestBudget } from "../specimenMore.ts";
import {
  FillNewBody,
  GaugeLineNewBody,
  GaugeLogNewBody,
  ListenBody,
  LotBody,
  LotChangeBody,
  LotHeadBody,
  LotNewBody,
  LotsComparedBody,
  RemovedLotBody,
  SpecimenMoreBody,
  WakeNewBody,
} from "../wire/lots.ts";

const NOW = "now";
const TAG = { ETag: "its revision in quotes" };
/** Of a gauge's log as text. */
const MOST_LOG_BYTES = 8 * 2 ** 20;
/** As many as a lot may hold; of more the oldest go. */
const MOST_WAKES = 2000;
/** As many as a lot may hold; of more none is taken: without the oldest it would be another test. */
const MOST_FILLS = 200;
const MOST_STRETCHES = 200;
/** So often a change is made anew on what somebody wrote meanwhile. */
const MOST_TRIES = 20;

/** The bench: boxes of sensors against a gauge. */
export function lotRoutes(house: House, random: () => number, version: string): readonly Route[] {
  const { store, events, stamp, gauges } = house;

  async function storedOf(id: string | undefined): Promise<StoredLot> {
    const lot = await store.lot(id ?? "");
    if (lot) return lot;
    throw new Problem("not-found", `There is no lot ${id}.`, { nextSteps: ["See the list at /bench."] });
  }

  async function answer(stored: StoredLot, status = 200): Promise<Answer> {
    return { status, body: await lotBody(house, stored), headers: { ETag: tagOf(stored) } };
  }

  async function refuseStale(current: StoredLot): Promise<never> {
    throw new Problem("stale", `The newest revision is ${current.revision}.`, {
      current: await lotBody(house, current),
      headers: { ETag: tagOf(current) },
    });
  }

  async function told({ id, revision }: Pick<StoredLot, "id" | "revision">): Promise<void> {
    await events.publish("lot", { id, revision });
  }

  /** Adds to a lot whatever its revision is, so that two tablets may press at once. */
  async function add(
    id: string | undefined,
    change: (lot: Lot, stored: StoredLot) => Lot | Promise<Lot>,
  ): Promise<Answer> {
    for (let tries = 0; tries < MOST_TRIES; tries++) {
      const before = await storedOf(id);
      const lot = LotShape.parse(await change(lotOf(before), before));
      const result = await store.changeLot(before.id, before.revision, lot, stamp());
      if (!result.ok) continue; // somebody wrote meanwhile, or it went: looked at anew
      await told(result.value);
      return answer(result.value);
    }
    return refuseStale(await storedOf(id));
  }

  /** What is kept beside the lot changed: its revision goes up, so that every page asks anew. */
  async function touched(id: string): Promise<Answer> {
    return add(id, (lot) => lot);
  }

  /** With the receivers' time where a fill ends `now`. */
  async function timed(stored: StoredLot, { fills, ...rest }: LotChangeBody): Promise<LotChangeBody> {
    if (fills === undefined) return rest;
    const at = fills.some(({ endedAt }) => endedAt === NOW) ? await clockOf(house, stored) : "";
    return { ...rest, fills: fills.map((fill) => (fill.endedAt === NOW ? { ...fill, endedAt: at } : fill)) };
  }

  async function freeId(): Promise<string> {
    const removed = new Set((await store.removedLots()).map(({ id }) => id));
    for (;;) {
      const id = shortId(random);
      if (!removed.has(id) && !(await store.lot(id))) return id;
    }
  }

  return [
    route({
      method: "get",
      path: "/lots",
      summary: "All lots of the bench, newest first",
      answers: { 200: { says: "The lots; none is an empty list.", body: z.array(LotHeadBody) } },
      handle: async () => ({ status: 200, body: (await store.lots()).map(headOf) }),
    }),
    route({
      method: "post",
      path: "/lots",
      summary: "Begin a lot",
      body: LotNewBody,
      answers: { 201: { says: "The lot.", body: LotBody, headers: { ...TAG, Location: "its address" } } },
      async handle({ body }) {
        const at = stamp();
        const lot = LotShape.parse({ ...emptyLot(), ...body });
        const stored = { id: await freeId(), revision: 1, createdAt: at, changedAt: at, sample: false, body: lot };
        await store.addLot(stored);
        await told(stored);
        const { headers, ...rest } = await answer(stored, 201);
        return { ...rest, headers: { ...headers, Location: `/api/v1/lots/${stored.id}` } };
      },
    }),
    route({
      method: "get",
      path: "/lots/{id}",
      summary: "One lot with all that follows from what was heard",
      answers: { 200: { says: "The lot.", body: LotBody, headers: TAG } },
      problems: ["not-found"],
      handle: async ({ params }) => answer(await storedOf(params["id"])),
    }),
    route({
      method: "patch",
      path: "/lots/{id}",
      summary: "Change entries of a lot; the others stay",
      notes: "`now` as a fill's `endedAt` stands for the clock of the lot's receivers.",
      body: LotChangeBody,
      ifMatch: true,
      answers: { 200: { says: "The lot as it is now.", body: LotBody, headers: TAG } },
      problems: ["not-found"],
      async handle({ params, body, revision }) {
        const before = await storedOf(params["id"]);
        const lot = LotShape.parse({ ...lotOf(before), ...(await timed(before, body)) });
        const result = await store.changeLot(before.id, revision, lot, stamp());
        if (!result.ok)
          return result.error === "stale" ? refuseStale(result.current) : answer(await storedOf(before.id));
        await told(result.value);
        return answer(result.value);
      },
    }),
    route({
      method: "delete",
      path: "/lots/{id}",
      summary: "Put a lot into the bin, for 30 days; what was heard stays",
      ifMatch: true,
      answers: { 204: { says: "It is in the bin." } },
      problems: ["not-found"],
      async handle({ params, revision }) {
        const { id } = await storedOf(params["id"]);
        const result = await store.removeLot(id, revision, stamp());
        if (!result.ok && result.error === "stale") return refuseStale(result.current);
        await gauges.stop(id);
        await events.publish("lot", { id });
        return { status: 204 };
      },
    }),
    route({
      method: "get",
      path: "/removed-lots",
      summary: "The bin: removed lots, newest first",
      answers: { 200: { says: "The lots; none is an empty list.", body: z.array(RemovedLotBody) } },
      async handle() {
        await emptyBin(store, stamp());
        const removed = await store.removedLots();
        return {
          status: 200,
          body: removed.map((lot) => ({
            ...headOf(lot),
            removedAt: lot.removedAt,
            goesAt: goesAt(lot.removedAt),
          })),
        };
      },
    }),
    route({
      method: "post",
      path: "/removed-lots/{id}/restore",
      summary: "Take a lot out of the bin",
      answers: { 200: { says: "The lot.", body: LotBody, headers: TAG } },
      problems: ["not-found"],
      async handle({ params }) {
        const id = params["id"] ?? "";
        if (!(await store.restoreLot(id))) {
          throw new Problem("not-found", `There is no lot ${id} in the bin.`, { nextSteps: ["See /removed-lots."] });
        }
        const lot = await storedOf(id);
        await told(lot);
        return answer(lot);
      },
    }),
    route({
      method: "post",
      path: "/lots/{id}/listening",
      summary: "Begin or end listening for a lot",
      notes: "What its receivers say in between is the lot's. A replay and a recording belong to it whole.",
      body: ListenBody,
      answers: { 200: { says: "The lot as it is now.", body: LotBody, headers: TAG } },
      problems: ["not-found", "stale", "conflict"],
      handle: ({ params, body: { on } }) =>
        add(params["id"], async (lot, stored) => {
          const at = stamp();
          const isOn = lot.listening.some(({ to }) => to === null);
          if (on === isOn) return lot;
          if (on) {
            if (lot.listening.length >= MOST_STRETCHES) throw full(stored.id, `${MOST_STRETCHES} times of listening`);
            return { ...lot, listening: [...lot.listening, { from: at, to: null }] };
          }
          const { worked } = await lotVisit(house, stored);
          return {
            ...written(lot, worked),
            listening: lot.listening.map((one) => (one.to === null ? { ...one, to: at } : one)),
          };
        }),
    }),
    route({
      method: "post",
      path: "/lots/{id}/wakes",
      summary: "Mark that a specimen is woken now",
      notes: "Added whatever its revision is. Taken back by writing `wakes` without it.",
      body: WakeNewBody,
      answers: { 200: { says: "The lot as it is now.", body: LotBody, headers: TAG } },
      problems: ["not-found", "stale"],
      handle: ({ params, body: { number } }) =>
        add(params["id"], async (lot, stored) => ({
          ...lot,
          wakes: [...lot.wakes, { number, at: await clockOf(house, stored) }].slice(-MOST_WAKES),
        })),
    }),
    route({
      method: "post",
      path: "/lots/{id}/fills",
      summary: "Mark that the pot is filled now, with what the gauge shows",
      notes:
        "Without a set point it is the next one that the gauge comes near. The first fill writes down who is who. It ends where the next one is marked, or where its `endedAt` is written.",
      body: FillNewBody,
      answers: { 200: { says: "The lot as it is now.", body: LotBody, headers: TAG } },
      problems: ["not-found", "stale", "conflict"],
      handle: ({ params, body }) =>
        add(params["id"], async (lot, stored) => {
          if (lot.fills.length >= MOST_FILLS) throw full(stored.id, `${MOST_FILLS} fills`);
          const { worked, clock } = await lotVisit(house, stored);
          const fill = {
            id: randomUUID().slice(0, 8),
            gaugeKpa: body.gaugeKpa,
            temperatureC: body.temperatureC ?? null,
            setPoint: body.setPoint ?? null,
            at: clock,
            endedAt: null,
          };
          return { ...written(lot, worked), fills: [...lot.fills, fill] };
        }),
    }),
    route({
      method: "post",
      path: "/lots/{id}/gauge-logs",
      summary: "Bring in a log of the gauge and the thermometer in the pot",
      notes: `A table in text: a line each of time, pressure and temperature, with or without names above. A time is RFC 3339, or seconds from where the lot's first recording or receiver begins. Pressure is gauge pressure. One of the same name takes the place of the one before.`,
      body: GaugeLogNewBody,
      mostBytes: MOST_LOG_BYTES,
      answers: { 200: { says: "The lot as it is now.", body: LotBody, headers: TAG } },
      problems: ["not-found", "stale"],
      async handle({ params, body: { name, text } }) {
        const stored = await storedOf(params["id"]);
        const parsed = parseGaugeLog(text, await beganSeconds(stored));
        if (!parsed.ok) {
          const complaints = [{ path: `line ${parsed.line}`, found: parsed.found, allowed: parsed.allowed }];
          throw new Problem("not-fitting", `The log ${name} cannot be read.`, { complaints });
        }
        await store.putGauge(
          stored.id,
          name,
          parsed.readings.map(({ atSeconds, kPa, degC }) => ({
            at: new Date(1000 * atSeconds).toISOString(),
            kpa: kPa ?? null,
            temperatureC: degC ?? null,
          })),
        );
        return add(stored.id, async (lot, now) => written(lot, (await lotVisit(house, now)).worked));
      },
    }),
    route({
      method: "delete",
      path: "/lots/{id}/gauge-logs/{name}",
      summary: "Remove a log of the gauge",
      answers: { 200: { says: "The lot without it.", body: LotBody, headers: TAG } },
      problems: ["not-found", "stale"],
      async handle({ params }) {
        const stored = await storedOf(params["id"]);
        const name = params["name"] ?? "";
        if ((await store.removeGauge(stored.id, name)) === 0) {
          throw new Problem("not-found", `Lot ${stored.id} has no log ${name}.`, { nextSteps: ["See the lot."] });
        }
        return touched(stored.id);
      },
    }),
    route({
      method: "put",
      path: "/lots/{id}/gauge-line",
      summary: "Read a gauge on a serial port while the server runs",
      notes:
        "A line tells the gauge pressure that has its unit behind it; one without any unit may hold its number alone, in the unit that is named here. Other lines are passed over. It takes the place of the one before.",
      body: GaugeLineNewBody,
      answers: { 200: { says: "The lot as it is now.", body: LotBody, headers: TAG } },
      problems: ["not-found", "only-here", "stale"],
      async handle({ params, request, body: { path, baudRate, unit } }) {
        refuseFromNetwork(request);
        const stored = await storedOf(params["id"]);
        await gauges.start(stored.id, path, baudRate, unit);
        return touched(stored.id);
      },
    }),
    route({
      method: "delete",
      path: "/lots/{id}/gauge-line",
      summary: "Stop reading the gauge; what it told stays",
      answers: { 200: { says: "The lot as it is now.", body: LotBody, headers: TAG } },
      problems: ["not-found", "only-here", "stale"],
      async handle({ params, request }) {
        refuseFromNetwork(request);
        const stored = await storedOf(params["id"]);
        await gauges.stop(stored.id);
        return touched(stored.id);
      },
    }),
    route({
      method: "get",
      path: "/lots/{id}/specimens/{number}",
      summary: "All that is known of one specimen: budgets, calibration, silence, the golden specimen beside it",
      answers: { 200: { says: "The specimen.", body: SpecimenMoreBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const stored = await storedOf(params["id"]);
        const body = await specimenMore(house, await lotVisit(house, stored), Number(params["number"]));
        if (body) return { status: 200, body };
        throw new Problem("not-found", `Lot ${stored.id} has no specimen ${params["number"]}.`, {
          nextSteps: ["See the lot."],
        });
      },
    }),
    route({
      method: "get",
      path: "/lots/{id}/compared",
      summary: "Two lots held against each other, with the tests and what they assume",
      query: z.strictObject({ with: z.string().min(1).max(20) }),
      answers: { 200: { says: "The comparison.", body: LotsComparedBody } },
      problems: ["not-found"],
      async handle({ params, query }) {
        const [here, other] = [await storedOf(params["id"]), await storedOf(query.with)];
        return { status: 200, body: await lotsCompared(house, here, other) };
      },
    }),
    route({
      method: "get",
      path: "/lots/{id}/record",
      summary: "The lot record, a page to print",
      notes: "Without a paper it has no size of its own and takes the printer's.",
      query: z.strictObject({ paper: z.enum(["a4", "letter"]).optional() }),
      answers: { 200: { says: "A page of HTML.", body: "page" } },
      problems: ["not-found"],
      async handle({ params, query: { paper } }) {
        const visit = await lotVisit(house, await storedOf(params["id"]));
        const body = bodyOfLot(house, visit);
        return { status: 200, body: lotRecordPage(body, await recordContext(house, visit, version, paper)) };
      },
    }),
    route({
      method: "get",
      path: "/lots/{id}/record.pdf",
      summary: "The lot record as a PDF",
      query: z.strictObject({ paper: z.enum(["a4", "letter"]).optional() }),
      answers: {
        200: {
          says: "The file.",
          body: "file",
          types: ["application/pdf"],
          headers: { "Content-Disposition": "its name" },
        },
      },
      problems: ["not-found"],
      async handle({ params, query: { paper } }) {
        const visit = await lotVisit(house, await storedOf(params["id"]));
        const body = bodyOfLot(house, visit);
        const pdf = await lotRecordPdf(body, await recordContext(house, visit, version, paper));
        return { status: 200, body: Buffer.from(pdf), headers: fileHeaders(body.id, "pdf", "application/pdf") };
      },
    }),
    route({
      method: "get",
      path: "/lots/{id}/export",
      summary: "A lot as a file: all of it as JSON, or a row for each specimen and set point as CSV",
      notes:
        "CSV is for programs unless a `locale` is named: then it has the decimal mark and the separator that a spreadsheet in that language reads.",
      query: z.strictObject({ as: z.enum(["json", "csv"]).default("json"), locale: z.string().max(35).optional() }),
      answers: { 200: { says: "The file.", body: "file", headers: { "Content-Disposition": "its name" } } },
      problems: ["not-found", "not-fitting"],
      async handle({ params, query: { as, locale } }) {
        const visit = await lotVisit(house, await storedOf(params["id"]));
        const body = bodyOfLot(house, visit);
        if (as === "csv") {
          const dialect = locale === undefined ? CSV_FOR_PROGRAMS : spreadsheetDialect({ locale });
          if (!dialect) {
            const complaints = [{ path: "locale", found: locale ?? "", allowed: "a language such as de or en-GB" }];
            throw new Problem("not-fitting", "That is no language.", { complaints });
          }
          const headers = fileHeaders(body.id, "csv", "text/csv; charset=utf-8");
          return { status: 200, body: lotCsv(body, dialect), headers };
        }
        const readings = visit.worked.specimens.map((one) => ({
          number: one.registered.number,
          ...readingsOf(visit.lot, one),
        }));
        const headers = fileHeaders(body.id, "json", "application/json; charset=utf-8");
        return { status: 200, body: lotJson(body, readings), headers };
      },
    }),
  ];

  /** What seconds of a log count from: where the first of its recordings or receivers begins. */
  async function beganSeconds(stored: StoredLot): Promise<number | undefined> {
    const lot = lotOf(stored);
    for (const hash of lot.recordingHashes) {
      const recording = await store.recording(hash);
      if (recording) return Date.parse(recording.startedAt ?? "1970-01-01T00:00:00Z") / 1000;
    }
    const { heard } = await lotVisit(house, stored);
    const first = heard.telegrams.reduce((least, { at }) => Math.min(least, Date.parse(at)), Number.POSITIVE_INFINITY);
    return Number.isFinite(first) ? first / 1000 : undefined;
  }
}

function full(id: string, holds: string): Problem {
  return new Problem("conflict", `Lot ${id} has ${holds}, and no more go in.`, {
    nextSteps: ["Take away what does not count, or begin another lot."],
  });
}

function tagOf(lot: StoredLot): string {
  return `"${lot.revision}"`;
}

/** What the record says beside the lot itself. */
async function recordContext(
  { store, hub, stamp }: House,
  { lot, heard, gauge, worked }: LotVisit,
  version: string,
  paper: "a4" | "letter" | undefined,
): Promise<RecordContext> {
  const receivers = (await hub.receivers()).filter(({ id }) => lot.receiverIds.includes(id));
  const recordings = (await store.recordings()).filter(({ hash }) => lot.recordingHashes.includes(hash));
  const heardBy = [...receivers, ...recordings].map(({ name }) => name);
  const isAbsolute = worked.specimens.some(({ said }) => said.some(({ absolute }) => absolute));
  return {
    printedAt: stamp(),
    version,
    dataHash: dataHash(lot, heard.telegrams, gauge),
    airTakenOff: isAbsolute ? worked.air : undefined,
    heardBy,
    paper,
    widest: widestBudget(lot, worked),
  };
}

function fileHeaders(id: string, ending: string, type: string): Record<string, string> {
  return { "Content-Type": type, "Content-Disposition": `attachment; filename="lot-${id}.${ending}"` };
}
