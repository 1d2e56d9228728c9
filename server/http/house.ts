import { basename, join } from "node:path";
import type { ServerFleet, ServerFleetOptions } from "../fleet/serverFleet.ts";
import type { FleetWatch } from "../fleet/watch.ts";
import { installSamples } from "../jobs/sampleHouse.ts";
import { createGauges, type Gauges } from "../receivers/gauges.ts";
import { createHub, type Hub } from "../receivers/hub.ts";
import { addFromFile, readReceiversFile } from "../receivers/receiversFile.ts";
import { createStamps } from "../receivers/stamps.ts";
import type { LineStream } from "../receivers/streamLink.ts";
import { type DataFolder, openDataFolder } from "../store/dataFolder.ts";
import { refuseHalfRestored } from "../store/restore.ts";
import type { Store } from "../store/store.ts";
import { openStoreThread } from "../store/storeThread.ts";
import { localRunner } from "../study/localRunner.ts";
import { createPool, type Pool } from "../work/pool.ts";
import { createTaker, type Taker } from "../work/taker.ts";
import { createWorkshop, type Workshop } from "../work/workshop.ts";
import { type Access, createAccess } from "./access.ts";
import { type Analyses, createAnalyses } from "./analyses.ts";
import { type Arrivals, createArrivals } from "./arrivals.ts";
import { emptyBin } from "./bin.ts";
import { type Air, createAir } from "./class/air.ts";
import { createExerciseSets, type ExerciseSets } from "./class/exerciseSets.ts";
import { createLessons, type Lessons } from "./class/lessons.ts";
import { createRooms, type Rooms } from "./class/room.ts";
import { createSittings, type Sittings } from "./class/sittings.ts";
import { createEvents, type Events } from "./events.ts";
import type { FleetAnalysesOptions } from "./fleetAnalyses.ts";
import type { FleetSamples, FleetSamplesOptions } from "./fleetSamples.ts";
import { createInPlace, type InPlace, isOpening } from "./inPlace.ts";
import { createKeeping, type Keeping } from "./keeping.ts";
import { type Keeper, keepRecording } from "./keepRecording.ts";
import { logText } from "./logText.ts";
import { createLotVisits, type LotVisits } from "./lotBody.ts";
import { createOneAtATime, type OneAtATime } from "./oneAtATime.ts";
import { openShelf, type Shelf } from "./shelf.ts";
import { createStudies, type Studies } from "./studies.ts";
import { openUploads, type Uploads } from "./uploads.ts";

/** All that a server keeps and runs, before anybody asks for it. */
export interface House {
  readonly store: Store;
  readonly folder: DataFolder;
  readonly access: Access;
  readonly keeping: Keeping;
  readonly events: Events;
  readonly shelf: Shelf;
  readonly analyses: Analyses;
  readonly hub: Hub;
  readonly gauges: Gauges;
  readonly lotVisits: LotVisits;
  /** Threads that measure on stored samples. */
  readonly pool: Pick<Pool, "measure">;
  /** For whatever puts files of recordings in place or takes them away. */
  readonly oneAtATime: OneAtATime;
  readonly taker: Taker;
  readonly workshop: Workshop;
  readonly arrivals: Arrivals;
  readonly air: Air;
  readonly exerciseSets: ExerciseSets;
  readonly sittings: Sittings;
  readonly lessons: Lessons;
  readonly rooms: Rooms;
  readonly uploads: Uploads;
  readonly inPlace: InPlace;
  readonly studies: Studies;
  /** Of a server that is one of a fleet. */
  readonly fleet?: FleetWatch | undefined;
  /** Of a server that is one of a fleet; ask through `samplesHere`. */
  readonly fleetSamples?: FleetSamples | undefined;
  /** Times of day, each later than the one before. */
  readonly stamp: () => string;
  readonly log: (entry: string) => void;
  /** What the opening found that people should know, as sentences. */
  readonly says: readonly string[];
  readonly samples: Samples;
  /** Nothing that was told to be stored is lost. */
  readonly close: () => Promise<void>;
}

export interface Samples {
  /** Settles when the sample job is there, or will not be. */
  readonly jobThere: Promise<void>;
  /** Settles with what there is to say once all of them are in, or were before. */
  readonly settled: Promise<readonly string[]>;
}

export interface HouseOptions {
  /** `undefined`: the user's own data folder. */
  readonly data: string | undefined;
  /** Where the samples lie; `undefined` for a house without. */
  readonly samplesDir: string | undefined;
  /** Of the program: results name it. */
  readonly version: string;
  /** Milliseconds since 1970. */
  readonly now: () => number;
  readonly random: () => number;
  readonly log: (entry: string) => void;
  /** Receiver lines that are piped in. */
  readonly standardInput?: LineStream | undefined;
  /** Of a server that is one of a fleet: its lines and store are there, and others decode. */
  readonly fleet?: ServerFleetOptions | undefined;
  /** Threads that decode; `undefined` for as many as the machine has room for. */
  readonly threads?: number;
  /** Whether receivers that have a key may come in from the network. */
  readonly openToNetwork?: boolean | undefined;
}

/**
 * @throws StoreError if the data folder is in use, cannot be written, or holds a damaged store; InputError if its
 *   receivers.json does not fit.
 */
export async function openHouse(options: HouseOptions): Promise<House> {
  const { now, log } = options;
  const folder = await openDataFolder(options.data);
  const closers: (() => Promise<void> | void)[] = [() => folder.release()];
  const close = async () => {
    for (const one of closers.splice(0).reverse()) await one();
  };
  try {
    refuseHalfRestored(folder);
    const receivers = readReceiversFile(join(folder.path, "receivers.json"));
    if (!receivers.ok) throw receivers.error;
    const fleet = options.fleet && (await joinFleet(folder.path, options.fleet));
    if (fleet) closers.push(fleet.close);
    const store = fleet?.store ?? (await openStoreThread(folder.databaseFile));
    closers.push(() => store.close());
    const stamp = createStamps(now, await store.lastReceivedAt());
    const access = await createAccess(store, { now, stamp });
    await emptyBin(store, stamp());
    await store.forgetNotes(); // nobody is left who could take them back
    await store.forgetWorksheets(stamp());
    const events = createEvents(store, log, fleet?.store.onEvents);
    closers.push(() => events.close());
    const pool = createPool(options.threads);
    closers.push(() => pool.stop());
    let hub: Hub | undefined;
    const shelf = await openShelf(store, (layouts) => hub?.useLayouts(layouts), log);
    if (fleet) closers.push(lookNowAndThen(shelf, log));
    const emit: Parameters<typeof createHub>[0]["emit"] = (event) => void events.publish(event.type, event.body);
    const own = await createHub({
      store: fleet?.ownStore ?? store,
      lines: fleet?.lines,
      pool,
      layouts: shelf.current(),
      now,
      stamp,
      emit,
      standardInput: options.standardInput,
      openToNetwork: options.openToNetwork,
    });
    closers.push(() => {
      fleet?.giveUpSoon();
      return own.stop();
    });
    hub = fleet ? await fleet.withOthers(own, events) : own;
    await addFromFile(hub, receivers.value);
    const onReading = (lotId: string) => void events.publish("lot", { id: lotId });
    const gauges = createGauges(store, { now, stamp, onReading });
    closers.push(() => gauges.close());
    const keeping = await createKeeping(store, { now, log });
    closers.push(() => keeping.stop());
    const analysing = { store, folder, events, layouts: () => shelf.current(), now, log };
    const oneAtATime = createOneAtATime();
    const lending = fleet && { ...analysing, ...fleet, oneAtATime };
    const elsewhere = lending && options.fleet && (await lendFleet(lending, options.fleet));
    if (elsewhere) closers.push(() => elsewhere.fleetSamples.stop());
    const analyses = elsewhere?.analyses ?? createAnalyses({ ...analysing, pool });
    closers.push(() => analyses.stop());
    await analyses.resume();
    const taker = createTaker();
    closers.push(() => taker.stop());
    const workshop = createWorkshop();
    closers.push(() => workshop.stop());
    const air = createAir();
    closers.push(() => air.stop());
    const sittings = createSittings(air);
    const lessons = await createLessons(store, events, { now, stamp });
    closers.push(() => lessons.stop());
    const rooms = createRooms(lessons, ({ body }, id, seed) => sittings.prepare(body.set, id, seed), folder.path);
    closers.push(() => rooms.stop());
    const keeper = { store: fleet?.takingStore ?? store, folder, taker, oneAtATime };
    const arrivals = createArrivals(keeper, events, analyses, stamp);
    const arriving = { keeper, arrivals, now, log };
    const { uploads, halves } = await openUploads(arriving, isOpening);
    closers.push(() => uploads.stop());
    const inPlace = await createInPlace(arriving);
    closers.push(() => inPlace.stop());
    // The threads of the house, which outlive a study: no more of them than the machine has room for.
    const runner = { ...localRunner(pool), stop: async () => undefined };
    const { version, random } = options;
    const studies = await createStudies({
      store,
      folder,
      fleetSamples: elsewhere?.fleetSamples,
      runner,
      pool,
      events,
      shelf,
      version,
      now,
      stamp,
      random,
      log,
    });
    closers.push(() => studies.stop());
    const parts = {
      store,
      folder,
      access,
      keeping,
      events,
      shelf,
      analyses,
      hub,
      gauges,
      lotVisits: createLotVisits(),
      pool,
      oneAtATime,
      taker,
      workshop,
      arrivals,
      air,
      exerciseSets: createExerciseSets(store, stamp),
      sittings,
      lessons,
      rooms,
      uploads,
      inPlace,
      studies,
      fleet: elsewhere?.watch,
      fleetSamples: elsewhere?.fleetSamples,
    };
    const house = { ...parts, stamp, log, close };
    const samples = startSamples(house, keeper, options);
    // The folder is not closed under a recording that is just being put in.
    closers.push(async () => void (await Promise.all([analyses.stop(), samples.settled])));
    const says = halves > 0 ? [`${halves} upload${halves === 1 ? "" : "s"} cut short by the last end went.`] : [];
    if (fleet) says.push(`It is server ${fleet.name} of the fleet at ${options.fleet?.address.shown}.`);
    return { ...house, says, samples };
  } catch (error) {
    await close();
    throw error;
  }
}

/** One machine alone loads nothing of what a fleet needs. */
async function joinFleet(folder: string, options: ServerFleetOptions): Promise<ServerFleet> {
  const { openServerFleet } = await import("../fleet/serverFleet.ts");
  const fleet = await openServerFleet(folder, options);
  if (!fleet) throw new StoppedError();
  return fleet;
}

/** What the workers of a fleet do for this server, and how its pages see them. */
async function lendFleet(
  lending: Omit<FleetAnalysesOptions, "objects" | "samples"> & Omit<FleetSamplesOptions, "objects">,
  { address }: ServerFleetOptions,
) {
  const [{ createFleetAnalyses }, { createFleetSamples }, { createObjects }, { watchFleet }] = await Promise.all([
    import("./fleetAnalyses.ts"),
    import("./fleetSamples.ts"),
    import("../fleet/objects.ts"),
    import("../fleet/watch.ts"),
  ]);
  const { connection, streams, store, now } = lending;
  const objects = createObjects(streams, "recordings");
  const fleetSamples = await createFleetSamples({ ...lending, objects });
  const watch = watchFleet({ servers: address.servers, nats: { connection, streams }, store, now }, store);
  const analyses = await createFleetAnalyses({ ...lending, objects, samples: fleetSamples });
  return { analyses, fleetSamples, watch };
}

/** It was told to end before it had begun. */
export class StoppedError extends Error {
  override readonly name = "StoppedError";
}

function lookNowAndThen(shelf: Shelf, log: (entry: string) => void): () => void {
  const timer = setInterval(() => {
    shelf.look().catch((error: unknown) => log(`layouts could not be read: ${logText(error)}`));
  }, LOOK_MS);
  timer.unref();
  return () => clearInterval(timer);
}

/** Layouts that were put on the shelf of another server are here by then. */
const LOOK_MS = 5000;

function startSamples(
  { store, folder, events, analyses, stamp }: Omit<House, "says" | "samples">,
  keeper: Keeper,
  { samplesDir, now, random }: HouseOptions,
): Samples {
  if (samplesDir === undefined) {
    return { jobThere: Promise.resolve(), settled: Promise.resolve([]) };
  }
  let there: () => void = () => undefined;
  const jobAdded = new Promise<void>((resume) => {
    there = resume;
  });
  const telling: Store = {
    ...store,
    async addJob(job) {
      await store.addJob(job);
      await events.publish("job", { id: job.id, revision: job.revision });
      there();
    },
    async addLot(lot) {
      await store.addLot(lot);
      await events.publish("lot", { id: lot.id, revision: lot.revision });
    },
  };
  const settled = installSamples(
    telling,
    folder,
    samplesDir,
    async (_, into, path, { sample }) => {
      const given = { path, name: sampleName(path), sample, addedAt: stamp() };
      const kept = await keepRecording({ ...keeper, folder: into }, given);
      if (!kept.ok) throw kept.error;
      const { recording, known } = kept.value;
      if (known && recording.analysis.state === "done") return { hash: recording.hash, analysed: Promise.resolve() };
      await events.publish("recording", { hash: recording.hash, analysis: recording.analysis });
      return { hash: recording.hash, analysed: analyses.start(recording) };
    },
    () => new Date(now()),
    random,
  ).then(
    ({ outcome, says }) => (outcome === "before" ? [] : says),
    (error: unknown) => [`The samples were not put in: ${error instanceof Error ? error.message : String(error)}`],
  );
  return { settled, jobThere: Promise.race([jobAdded, settled.then(() => undefined)]) };
}

function sampleName(path: string): string {
  return basename(path).replace(/\.sigmf-meta$/, "");
}
