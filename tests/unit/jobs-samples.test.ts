import { createHash } from "node:crypto";
import { copyFileSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { JobInputBody } from "../../server/http/wire.ts";
import { type AddRecordingFile, installSamples, removeSamples } from "../../server/jobs/sampleHouse.ts";
import { wheelLines } from "../../server/jobs/wheelLines.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import { type DataFolder, openDataFolder, recordingFile } from "../../server/store/dataFolder.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import type { Store } from "../../server/store/store.ts";
import { decode } from "../support/decode.ts";
import { temporaryFolder } from "../support/folder.ts";
import { DAY, job, recording, telegram } from "../support/store-data.ts";

const samplesDir = fileURLToPath(new URL("../../samples", import.meta.url));
const names = readdirSync(samplesDir).filter((name) => name.endsWith(".sigmf-meta"));
const now = () => new Date("2026-11-25T09:00:00Z");
const random = () => 0.5;

let base = "";
let folder: DataFolder;
let store: Store;
beforeEach(async () => {
  base = temporaryFolder("samples");
  folder = await openDataFolder(join(base, "data"));
  store = await openSqliteStore(folder.databaseFile);
});
afterEach(async () => {
  await store.close();
  await folder.release();
  rmSync(base, { recursive: true, force: true });
});

/** As a server would, but that only the job's recording is really analysed. */
const add: AddRecordingFile = async (into, data, path, { sample }) => {
  const opened = await openRecording(path);
  if (!opened.ok) throw opened.error;
  const bytes = readFileSync(path.replace(/meta$/, "data"));
  const hash = createHash("sha512").update(bytes).digest("hex");
  writeFileSync(recordingFile(data, hash), bytes);
  const name = path.slice(path.lastIndexOf("/") + 1);
  await into.addRecording(recording(hash, { name, sample, startedAt: null, sampleType: opened.value.sampleType }));
  const analyse = async () => {
    if (name !== "soft-spare.sigmf-meta") return;
    const { records, telegrams } = await decode(opened.value, builtinLayouts);
    const found = telegrams.map((one, i) =>
      telegram(`${name} ${i}`, {
        at: `2026-03-02T09:40:${(12.25 + one.atSeconds).toFixed(6)}Z`,
        on: { recordingHash: hash },
        identity: String(one.fields["sensor"]?.value),
        telegram: one,
      }),
    );
    await into.saveAnalysis(hash, records, found);
  };
  return { hash, analysed: analyse() };
};
const install = (dir = samplesDir, how = add) => installSamples(store, folder, dir, how, now, random);

describe("a first start", () => {
  it("puts in every sample, marked as one, and a job whose spare is a stop", async () => {
    expect(names.length).toBeGreaterThan(5);
    expect(await install()).toEqual({
      outcome: "installed",
      says: [`${names.length} sample recordings were put in, with a sample job.`],
    });
    const recordings = await store.recordings();
    expect(recordings.map(({ name }) => name).toSorted()).toEqual(names.toSorted());
    expect(recordings.every(({ sample }) => sample)).toBe(true);
    expect(recordings.every(({ hash }) => existsSync(recordingFile(folder, hash)))).toBe(true);

    const lots = await store.lots();
    expect(lots).toMatchObject([{ revision: 1, sample: true, createdAt: DAY, body: { sample: 20 } }]);
    expect((await store.gaugeOf(lots[0]!.id)).length).toBeGreaterThan(50);
    const jobs = await store.jobs();
    expect(jobs).toMatchObject([{ id: "HHHH", revision: 1, sample: true, createdAt: DAY }]);
    const { body } = jobs[0]!;
    const hash = recordings.find(({ name }) => name === "soft-spare.sigmf-meta")?.hash ?? "";
    expect(body).toMatchObject({ recordingHashes: [hash] });
    const card = JobInputBody.parse(body);
    const { lines, others } = wheelLines(card, await store.telegramsOf(hash), [], builtinLayouts);
    expect(lines.map(({ position, state, strength }) => [position, state, strength])).toEqual([
      ["left front", "heard", "as expected"],
      ["right front", "heard", "as expected"],
      ["left rear", "heard", "as expected"],
      ["right rear", "heard", "as expected"],
      ["spare", "heard", "stop"],
    ]);
    expect(lines[4]?.finding).toMatch(/^46 % below placard\. Driven soft\? Look before inflating\..*Battery low/);
    expect(others).toEqual([]);
  });

  it("gives the wheels the identities that the scenario says they have", async () => {
    await install();
    const scenario = JSON.parse(readFileSync(join(samplesDir, "../seeds/soft-spare.json"), "utf8"));
    const sent = scenario.sensors.map((one: { name: string; identity: string }) => [one.name, one.identity]).toSorted();
    const card = JobInputBody.parse((await store.jobs())[0]?.body);
    expect(card.wheels.map(({ position, identity }) => [position, identity]).toSorted()).toEqual(sent);
  });

  it("is not repeated, neither at the next start nor after the samples were taken away", async () => {
    await install();
    expect(await install()).toEqual({ outcome: "before", says: ["The samples were put in before."] });
    await removeSamples(store, folder);
    expect((await install()).outcome).toBe("before");
    expect(await store.recordings()).toEqual([]);
  });

  it("says so where the installation has no samples, and may still put them in later", async () => {
    const said = await install(join(base, "none"));
    expect(said.outcome).toBe("none there");
    expect(said.says[0]).toMatch(/came without samples.*Add a recording of your own/);
    expect((await install()).outcome).toBe("installed");
  });

  it("names each sample that does not go in, puts in the others, and ends the work the next time", async () => {
    const some = join(base, "some");
    mkdirSync(some);
    for (const name of ["soft-spare.sigmf-meta", "soft-spare.sigmf-data", "dumb-sensor.sigmf-meta"]) {
      copyFileSync(join(samplesDir, name), join(some, name));
    }
    const said = await install(some);
    expect(said.outcome).toBe("failed");
    expect(said.says[0]).toMatch(/^dumb-sensor\.sigmf-meta did not go in: .*dumb-sensor\.sigmf-data/);
    expect((await store.jobs()).length).toBe(1);
    copyFileSync(join(samplesDir, "dumb-sensor.sigmf-data"), join(some, "dumb-sensor.sigmf-data"));
    expect((await install(some)).outcome).toBe("installed");
    expect((await store.recordings()).length).toBe(2);
    expect((await store.jobs()).length).toBe(1);
  });

  it("names a sample whose analysis fails later", async () => {
    const failing: AddRecordingFile = async (...given) => {
      const added = await add(...given);
      const fails = given[2].endsWith("interferer.sigmf-meta");
      return fails ? { ...added, analysed: Promise.reject(new Error("the worker died")) } : added;
    };
    const said = await install(samplesDir, failing);
    expect(said).toMatchObject({ outcome: "failed" });
    expect(said.says).toContain("interferer.sigmf-meta did not go in: the worker died");
  });
});

describe("taking the samples away", () => {
  it("takes exactly these, with their files", async () => {
    await install();
    const own = "d".repeat(128);
    await store.addRecording(recording(own));
    writeFileSync(recordingFile(folder, own), "my own");
    await store.addJob(job("7K3F"));
    const removed = await removeSamples(store, folder);
    expect(removed.recordings.length).toBe(names.length);
    expect([removed.jobs, removed.lots.length, await store.lots()]).toEqual([["HHHH"], 1, []]);
    expect((await store.recordings()).map(({ hash }) => hash)).toEqual([own]);
    expect((await store.jobs()).map(({ id }) => id)).toEqual(["7K3F"]);
    expect(readdirSync(folder.recordingsDir)).toEqual([`${own}.sigmf-data`]);
  });

  it("keeps them away also where not all had gone in", async () => {
    const failing: AddRecordingFile = async (...given) => {
      if (given[2].endsWith("interferer.sigmf-meta")) throw new Error("the disk is full");
      return add(...given);
    };
    expect((await install(samplesDir, failing)).outcome).toBe("failed");
    await removeSamples(store, folder);
    expect((await install()).outcome).toBe("before");
    expect(await store.recordings()).toEqual([]);
  });

  it("leaves a recording that was there before the samples came", async () => {
    const bytes = readFileSync(join(samplesDir, "interferer.sigmf-data"));
    const mine = createHash("sha512").update(bytes).digest("hex");
    await store.addRecording(recording(mine, { name: "mine" }));
    await install();
    const removed = await removeSamples(store, folder);
    expect(removed.recordings).not.toContain(mine);
    expect((await store.recordings()).map(({ name }) => name)).toEqual(["mine"]);
    expect(existsSync(recordingFile(folder, mine))).toBe(true);
  });
});
