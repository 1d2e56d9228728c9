import express, { type Express, type Request } from "express";
import type { StoredTelegram } from "../store/store.ts";
import { answerFailure } from "./failure.ts";
import { type Bound, guard } from "./guard.ts";
import { headers } from "./headers.ts";
import { mountHelp } from "./help.ts";
import type { House } from "./house.ts";
import { createMetrics, type Metrics } from "./metrics.ts";
import { mount } from "./mount.ts";
import { createOnce } from "./once.ts";
import { type OpenApi, openApi } from "./openapi.ts";
import { mountPages } from "./pages.ts";
import { Problem } from "./problem.ts";
import { type Route, route } from "./route.ts";
import { bandRoutes } from "./routes/bands.ts";
import { deviceRoutes } from "./routes/devices.ts";
import { eventRoutes } from "./routes/events.ts";
import { exerciseRoutes } from "./routes/exercises.ts";
import { fleetRoutes } from "./routes/fleet.ts";
import { healthRoutes } from "./routes/health.ts";
import { inPlaceRoutes } from "./routes/inPlace.ts";
import { jobRoutes } from "./routes/jobs.ts";
import { keepingRoutes } from "./routes/keeping.ts";
import { layoutRoutes } from "./routes/layouts.ts";
import { lessonRoutes } from "./routes/lessons.ts";
import { lotRoutes } from "./routes/lots.ts";
import { makingRoutes } from "./routes/making.ts";
import { measureRoutes } from "./routes/measures.ts";
import { metricRoutes } from "./routes/metrics.ts";
import { noteRoutes } from "./routes/notes.ts";
import { type ListedPort, receiverRoutes } from "./routes/receivers.ts";
import { recordingExportRoutes } from "./routes/recordingExport.ts";
import { recordingRoutes } from "./routes/recordings.ts";
import { sampleRoutes } from "./routes/samples.ts";
import { seatRoutes } from "./routes/seats.ts";
import { shareRoutes } from "./routes/share.ts";
import { studyRoutes } from "./routes/studies.ts";
import { telegramRoutes } from "./routes/telegrams.ts";
import { uploadRoutes } from "./routes/uploads.ts";
import { worksheetRoutes } from "./routes/worksheets.ts";
import { yardRoutes } from "./routes/yard.ts";
import type { UploadLimits } from "./upload.ts";

export interface AppOptions {
  readonly house: House;
  readonly version: string;
  /** Where the built pages lie. */
  readonly webDir: string;
  /** Where the server listens; `undefined` until it does. */
  readonly bound: () => Bound | undefined;
  readonly serialPorts: () => Promise<readonly ListedPort[]>;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  /** Numbers from 0 up to, not including, 1. */
  readonly random: () => number;
  readonly uploadLimits?: UploadLimits;
}

/** None that could make a mark pass for hex, which the log shortens. */
const LETTERS = "ghijklmnopqrstuvwxyz";

const UPLOAD_LIMITS: UploadLimits = { maxBytes: 16 * 2 ** 30, maxPauseMs: 60_000 };

/** The application that answers: interface, help and pages. Who may ask is looked at before anything else. */
export function createApp(options: AppOptions): Express {
  const { house, version } = options;
  const { maxPauseMs } = options.uploadLimits ?? UPLOAD_LIMITS;
  const app = express();
  app.disable("x-powered-by");
  app.enable("case sensitive routing");
  app.set("etag", false); // an ETag here is a revision
  app.set("query parser", "simple");
  app.use(headers);
  const metrics = createMetrics(() => house.hub.receivers(), version, house.fleet);
  void house.events.listen(undefined, {
    tell: ({ type, text }) => type === "telegram" && countFirst(metrics, JSON.parse(text)),
    begin: () => undefined,
    end: () => undefined,
    room: async () => true,
  });
  app.use(metrics.timeRequests);
  app.use(guard(options.bound, house.access, house.lessons));
  const routes = [...apiRoutes(options), ...metricRoutes(metrics), describing(() => description)];
  const description = openApi(routes, version);
  mount(app, routes, createOnce(house.store, { now: options.now, stamp: house.stamp }), maxPauseMs);
  mountHelp(app, description);
  mountPages(app, options.webDir);
  app.use(({ path }: Request) => {
    throw new Problem("not-found", `There is nothing at ${path}.`);
  });
  app.use(
    answerFailure(house.log, () =>
      Array.from({ length: 6 }, () => LETTERS[Math.floor(options.random() * 20)]).join(""),
    ),
  );
  return app;
}

/** A telegram is one, however often its copies revise it. */
function countFirst(metrics: Metrics, { revision, telegram }: StoredTelegram): void {
  if (revision === 1) metrics.heard(telegram);
}

function apiRoutes(options: AppOptions): Route[] {
  const { house, version, bound, now, random, serialPorts, uploadLimits = UPLOAD_LIMITS } = options;
  return [
    ...healthRoutes(version),
    ...recordingRoutes(house, uploadLimits),
    ...uploadRoutes(house, uploadLimits),
    ...inPlaceRoutes(house),
    ...measureRoutes(house),
    ...noteRoutes(house),
    ...studyRoutes(house),
    ...recordingExportRoutes(house, version),
    ...telegramRoutes(house),
    ...receiverRoutes(house, serialPorts),
    ...jobRoutes(house, random, version),
    ...lotRoutes(house, random, version),
    ...exerciseRoutes(house),
    ...layoutRoutes(house),
    ...worksheetRoutes(house, random),
    ...lessonRoutes(house, bound, now),
    ...seatRoutes(house, bound),
    ...yardRoutes(house, random),
    ...makingRoutes(house),
    ...bandRoutes(house, random),
    ...eventRoutes(house.events),
    ...deviceRoutes(house.access, bound),
    ...keepingRoutes(house.keeping),
    ...fleetRoutes(house),
    ...shareRoutes(house),
    ...sampleRoutes(house),
  ];
}

/** The route that describes all others and itself. */
function describing(description: () => OpenApi): Route {
  return route({
    method: "get",
    path: "/openapi.json",
    summary: "This description, OpenAPI 3.1",
    answers: { 200: { says: "The description.", body: "openapi" } },
    handle: async () => ({ status: 200, body: description() }),
  });
}
