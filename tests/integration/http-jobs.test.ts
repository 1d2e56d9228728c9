import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed, emptyCard } from "../support/http-samples.ts";
import { talkTo } from "../support/hub-bench.ts";
import { linesFrom } from "../support/samples.ts";

const MINUTE_MS = 60_000;
let bench: HttpBench;
let aheadMs = 0;
beforeAll(async () => {
  bench = await openBench({ samples: true, now: () => Date.now() + aheadMs });
  await bench.house.samples.settled;
});
afterAll(() => bench.close());

const ifMatch = (revision: number) => ({ "if-match": `"${revision}"` });

async function newJob(card: object = {}) {
  return (await bench.ask("POST", "/jobs", { json: { ...emptyCard, ...card } })).body;
}

describe("the sample job", () => {
  it("has a finding for every wheel, one of them a stop", async () => {
    const { body } = await bench.ask("GET", "/jobs");
    expect(body).toHaveLength(1);
    expect(body[0].lines.map(({ state }: { state: string }) => state)).toEqual(Array(5).fill("heard"));
    expect(body[0].lines.filter(({ strength }: { strength: string }) => strength === "stop")).toHaveLength(1);
    for (const { telegramId } of body[0].lines)
      expect((await bench.ask("GET", `/telegrams/${telegramId}`)).status).toBe(200);
  });
});

describe("a job", () => {
  it("is opened, changed entry by entry and removed, each write on its revision", async () => {
    const { status, body, headers } = await bench.ask("POST", "/jobs", { json: emptyCard });
    expect([status, body.revision, headers.get("etag")]).toEqual([201, 1, '"1"']);
    const path = `/jobs/${body.id}`;
    expect(headers.get("location")).toBe(`/api/v1${path}`);
    const changed = await bench.ask("PATCH", path, { json: { odometerKm: 50_001 }, headers: ifMatch(1) });
    expect([changed.status, changed.headers.get("etag")]).toEqual([200, '"2"']);
    expect(changed.body).toMatchObject({ plate: "TEST 1", odometerKm: 50_001, revision: 2 });
    expect((await bench.ask("GET", path)).body).toEqual(changed.body);
    expect((await bench.ask("DELETE", path, { headers: ifMatch(2) })).status).toBe(204);
    expect((await bench.ask("GET", path)).status).toBe(404);
  });

  it("of a new kind of entry is as good as one without", async () => {
    const job = await newJob({ visit: "lamp flashing", altitudeM: 1600 });
    expect(job).toMatchObject({ visit: "lamp flashing", altitudeM: 1600, kind: "car", wakes: [], drivenLately: null });
    expect(job.wheels[0]).toEqual({
      position: "left front",
      identity: null,
      handGaugeKpa: null,
      dateCode: "",
      replaced: null,
    });
    const refused = await bench.ask("PATCH", `/jobs/${job.id}`, { json: { visit: "a chat" }, headers: ifMatch(1) });
    expect(refused.status).toBe(400);
  });

  it("lists what was done to it, and every change can be taken back by what stood there before", async () => {
    const { id } = await newJob({ plate: "BACK 1" });
    const path = `/jobs/${id}`;
    await bench.ask("PATCH", path, { json: { plate: "BACK 2", says: "Plate typed" }, headers: ifMatch(1) });
    await bench.ask("PATCH", path, { json: { odometerKm: 7, altitudeM: 300 }, headers: ifMatch(2) });
    const { body: changes } = await bench.ask("GET", `${path}/changes`);
    expect(changes).toMatchObject([
      { revision: 3, says: "Changed: odometerKm, altitudeM", before: { odometerKm: null, altitudeM: null } },
      { revision: 2, says: "Plate typed", before: { plate: "BACK 1" } },
    ]);
    expect(Object.keys(changes[1].before)).toEqual(["plate"]);
    const back = await bench.ask("PATCH", path, { json: changes[1].before, headers: ifMatch(3) });
    expect(back.body).toMatchObject({ plate: "BACK 1", odometerKm: 7, revision: 4 });
  });

  it("takes wakes from two tablets at once, each with its own moment", async () => {
    const { id } = await newJob();
    const tap = (position: string) => bench.ask("POST", `/jobs/${id}/wakes`, { json: { position } });
    const answers = await Promise.all(["left front", "right front", "left rear", "right rear"].map(tap));
    expect(answers.map(({ status }) => status)).toEqual([200, 200, 200, 200]);
    const { body } = await bench.ask("GET", `/jobs/${id}`);
    expect(body.wakes.map(({ position }: { position: string }) => position).toSorted()).toEqual([
      "left front",
      "left rear",
      "right front",
      "right rear",
    ]);
    expect(new Set(body.wakes.map(({ at }: { at: string }) => at)).size).toBe(4);
    expect((await bench.ask("POST", "/jobs/NONE/wakes", { json: { position: "spare" } })).status).toBe(404);
  });

  it("that was removed lies in the bin for 30 days, and comes back whole", async () => {
    const { id } = await newJob({ plate: "BIN 1" });
    const run = await bench.ask("POST", `/jobs/${id}/runs`, { headers: ifMatch(1) });
    await bench.ask("DELETE", `/jobs/${id}`, { headers: ifMatch(1) });
    expect((await bench.ask("GET", "/jobs")).body.map((job: { id: string }) => job.id)).not.toContain(id);
    const { body: bin } = await bench.ask("GET", "/removed-jobs");
    expect(bin[0]).toMatchObject({ id, plate: "BIN 1" });
    expect(Date.parse(bin[0].goesAt) - Date.parse(bin[0].removedAt)).toBe(30 * 24 * 60 * MINUTE_MS);
    const back = await bench.ask("POST", `/removed-jobs/${id}/restore`);
    expect([back.status, back.body.plate]).toEqual([200, "BIN 1"]);
    expect((await bench.ask("GET", `/jobs/${id}/runs`)).body).toEqual([run.body]);
    expect((await bench.ask("POST", `/removed-jobs/${id}/restore`)).status).toBe(404);
    await bench.ask("DELETE", `/jobs/${id}`, { headers: ifMatch(1) });
    aheadMs += 30 * 24 * 60 * MINUTE_MS + MINUTE_MS;
    expect((await bench.ask("GET", "/removed-jobs")).body).toEqual([]);
  });

  it("can have its names wiped, while its readings stay", async () => {
    const { id } = await newJob({ plate: "NAME 1", complaint: "Mine flashes", odometerKm: 5, signedBefore: "A. Body" });
    await bench.ask("PATCH", `/jobs/${id}`, { json: { plate: "NAME 2" }, headers: ifMatch(1) });
    const wiped = await bench.ask("POST", `/jobs/${id}/anonymous`, { headers: ifMatch(2) });
    expect(wiped.body).toMatchObject({ plate: "", complaint: "", signedBefore: "", odometerKm: 5, revision: 3 });
    const { body } = await bench.ask("GET", `/jobs/${id}/changes`);
    expect(JSON.stringify(body)).not.toMatch(/NAME|flashes|Body/);
  });

  it("goes out as JSON with all of the visit, and as CSV with a row for each wheel", async () => {
    const { id } = await newJob({ plate: "=SUM(A1)", vehicle: 'Van, "blue"' });
    const json = await bench.ask("GET", `/jobs/${id}/export`);
    expect(json.headers.get("content-disposition")).toBe(`attachment; filename="job-${id}.json"`);
    expect(json.body).toMatchObject({ format: "wheelgram-job", version: 1, job: { id }, runs: [], telegrams: [] });
    const csv = await bench.ask("GET", `/jobs/${id}/export?as=csv`);
    expect(csv.headers.get("content-type")).toBe("text/csv; charset=utf-8");
    const rows = String(csv.body).trimEnd().split("\r\n");
    expect(rows).toHaveLength(5);
    expect(rows[1]).toContain(`,'=SUM(A1),"Van, ""blue""",,left front,`);
    expect((await bench.ask("GET", `/jobs/${id}/export?as=pdf`)).status).toBe(400);
  });

  it("knows earlier cards of the same plate, then of the same vehicle", async () => {
    const first = await newJob({ plate: "KEEP-1", vehicle: "Harbour van", placardFrontKpa: 270 });
    const second = await newJob({ plate: "OTHER", vehicle: "harbour van" });
    const third = await newJob({ plate: "keep 1", vehicle: "Harbour Van" });
    const { body } = await bench.ask("GET", `/jobs/${third.id}/earlier`);
    expect(body.map(({ id, same }: { id: string; same: string }) => [id, same])).toEqual([
      [first.id, "plate"],
      [second.id, "vehicle"],
    ]);
    expect(body[0].card.placardFrontKpa).toBe(270);
    expect((await bench.ask("GET", `/jobs/${first.id}/earlier`)).body).toEqual([]);
  });

  it("is not written without a revision, and keeps the first of two writes on one revision", async () => {
    const { id } = await newJob();
    const path = `/jobs/${id}`;
    for (const method of ["PATCH", "DELETE"]) {
      const { status, body } = await bench.ask(method, path, { json: { odometerKm: 1 } });
      expect([method, status, body.type]).toEqual([method, 428, "/help/problems/no-revision"]);
    }
    expect((await bench.ask("POST", `${path}/runs`)).status).toBe(428);
    expect((await bench.ask("PATCH", path, { json: {}, headers: { "if-match": "*" } })).status).toBe(400);
    await bench.ask("PATCH", path, { json: { odometerKm: 1 }, headers: ifMatch(1) });
    const stale = await bench.ask("PATCH", path, { json: { odometerKm: 2 }, headers: ifMatch(1) });
    expect([stale.status, stale.headers.get("etag")]).toEqual([412, '"2"']);
    expect(stale.body.current).toEqual((await bench.ask("GET", path)).body);
    expect(stale.body.current.odometerKm).toBe(1);
    expect((await bench.ask("DELETE", path, { headers: ifMatch(1) })).status).toBe(412);
    expect((await bench.ask("POST", `${path}/runs`, { headers: ifMatch(1) })).status).toBe(412);
  });

  it("keeps exactly one of many writes at once on one revision", async () => {
    const { id } = await newJob();
    const writes = Array.from({ length: 8 }, (_, i) =>
      bench.ask("PATCH", `/jobs/${id}`, { json: { odometerKm: i }, headers: ifMatch(1) }),
    );
    const answers = await Promise.all(writes);
    expect(answers.map(({ status }) => status).toSorted()).toEqual([200, ...Array(7).fill(412)]);
  });

  it.each([
    [{ odometerKm: -1 }, "odometerKm"],
    [{ colour: "red" }, "colour"],
    [{ wheels: [] }, "wheels"],
    [{ wheels: [{ position: "", identity: null }] }, "wheels[0].position"],
  ])("refuses %j by its key", async (change, path) => {
    const { id } = await newJob();
    const { status, body } = await bench.ask("PATCH", `/jobs/${id}`, { json: change, headers: ifMatch(1) });
    expect([status, body.complaints[0].path]).toEqual([400, path]);
    expect((await bench.ask("GET", `/jobs/${id}`)).body.revision).toBe(1);
  });

  it("hears its receivers while it listens, and not before or after", async () => {
    const receiver = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "bay", port: 0 } })).body;
    const card = { receiverIds: [receiver.id], wheels: [{ position: "left front", identity: "3A51C0DE" }] };
    const { id } = await newJob(card);
    const line = async () => (await bench.ask("GET", `/jobs/${id}`)).body.lines[0];
    const sender = await talkTo(receiver.port);
    let heardCount = 0;
    // All that is said is decoded, whether or not it belongs to the run.
    const say = async (beginMs: number) => {
      await sender.send(linesFrom("sound-car", new Date(beginMs), `start ${beginMs}`));
      heardCount += 4;
      const telegrams = async () => (await bench.ask("GET", `/telegrams?receiver=${receiver.id}`)).body.length;
      await expect.poll(telegrams, { timeout: 60_000 }).toBe(heardCount);
    };

    const first = (await bench.ask("POST", `/jobs/${id}/runs`, { headers: ifMatch(1) })).body;
    expect((await bench.ask("POST", `/jobs/${id}/runs`, { headers: ifMatch(1) })).body).toEqual(first);
    await say(Date.parse(first.startedAt) - MINUTE_MS);
    expect((await line()).state).toBe("not heard");
    await say(Date.parse(first.startedAt) + 1000);
    const heard = await line();
    expect(heard.state).toBe("heard");

    aheadMs += MINUTE_MS; // the last of those lines is of some seconds after the run began
    const json = { ended: true };
    const ended = await bench.ask("PATCH", `/jobs/${id}/runs/${first.id}`, { json, headers: ifMatch(1) });
    expect(ended.body.endedAt > first.startedAt).toBe(true);
    expect((await bench.ask("GET", `/jobs/${id}/runs`)).body).toEqual([ended.body]);
    const later = await newJob(card);
    expect(later.lines[0].state).toBe("not heard");
    await say(Date.parse(ended.body.endedAt) + 1000);
    expect(await line()).toEqual(heard);
    expect((await bench.ask("GET", `/jobs/${later.id}`)).body.lines[0].state).toBe("heard");

    await sender.end();
    const none = await bench.ask("PATCH", `/jobs/${id}/runs/none`, { json, headers: ifMatch(1) });
    expect(none.status).toBe(404);
  });
});

it("a card that has heard thousands of telegrams lets others have their turn while it is worked out", async () => {
  const { id } = await newJob({ receiverIds: ["r"] });
  const { store } = bench.house;
  const { telegrams } = store;
  const PAGES = 20;
  let pages = 0;
  let turns = 0;
  const turn = () => {
    turns++;
    if (pages < PAGES) setImmediate(turn);
  };
  Object.assign(store, {
    async telegrams() {
      if (pages === 0) setImmediate(turn);
      return ++pages < PAGES ? { items: [], next: String(pages) } : { items: [] };
    },
  });
  await bench.ask("GET", `/jobs/${id}`);
  Object.assign(store, { telegrams });
  expect([pages, turns > PAGES / 2]).toEqual([PAGES, true]);
});

describe("a wheel of a job", () => {
  it("that is silent has causes, next steps and rules, and an answer moves them", async () => {
    const recordings = (await bench.ask("GET", "/recordings")).body;
    const { hash } = recordings.find(({ name }: { name: string }) => name === "dumb-sensor");
    await analysed(bench, hash);
    const wheels = [
      { position: "left front", identity: "0b41c77" },
      { position: "right front", identity: "0b41c9e" },
      { position: "right rear", identity: "0b3fe01" },
      { position: "left rear", identity: "0b41d20", dateCode: "2014-05" },
    ];
    const card = { visit: "lamp flashing", placardFrontKpa: 450, placardRearKpa: 450, placardUnit: "kPa" };
    const job = await newJob({ ...card, wheels, recordingHashes: [hash] });
    const path = `/jobs/${job.id}/wheels/left-rear`;
    const { body } = await bench.ask("GET", path);
    expect(body.couldWeHaveHeardIt).toBe("Yes, most likely: 3 of the 3 other wheels came in on 315 MHz.");
    expect(body.steps.length).toBe(3);
    expect(body.age).toBe("This sensor is about 12 years old.");
    expect(body.rules[0]).toMatchObject({ kpa: 337.5, status: "read" });
    const chance = (ranking: { id: string; probability: number }[]) =>
      ranking.find(({ id }) => id === "none-fitted")?.probability ?? 0;
    const answers = [{ position: "left rear", step: "look-valve", answer: "plain here", at: "now" }];
    const answered = await bench.ask("PATCH", `/jobs/${job.id}`, { json: { answers }, headers: ifMatch(1) });
    expect(Date.parse(answered.body.answers[0].at)).toBeGreaterThan(0);
    const after = (await bench.ask("GET", path)).body;
    expect(chance(after.ranking)).toBeGreaterThan(3 * chance(body.ranking));
    expect(after.steps.map(({ id }: { id: string }) => id)).not.toContain("look-valve");
    const again = await newJob({ wheels: wheels.slice(3) });
    const visits = (await bench.ask("GET", `/jobs/${again.id}/wheels/left-rear`)).body.visits;
    expect(visits).toMatchObject([{ id: job.id, position: "left rear", takenOut: false }]);
    expect((await bench.ask("GET", `/jobs/${job.id}/wheels/roof`)).status).toBe(404);
  });

  it("that has what the vehicle holds is held against its list, and shown for registration", async () => {
    const wheels = [{ position: "left front", identity: "3a51c0de" }];
    const job = await newJob({ wheels, vehicleList: "LF 3a51c0de\nnonsense", relearn: "driving", codesBefore: "12" });
    const { body } = await bench.ask("GET", `/jobs/${job.id}/putting-right`);
    expect(body.list.refused[0].says).toContain("Line 2");
    expect(body.registration.lines).toMatchObject([
      { position: "left front", large: "3A 51 C0 DE", decimal: "978436318" },
    ]);
    expect(body.relearn.steps[0].do).toMatch(/maker's procedure/);
    expect(
      body.relearn.steps.some(({ caution }: { caution: string | null }) => /tablet|screen/.test(caution ?? "")),
    ).toBe(true);
    expect(body.codes).toContain("12");
  });
});

describe("the curves of a job", () => {
  it("are a curve for each wheel with a sensor, oldest reading first", async () => {
    const [{ id }] = (await bench.ask("GET", "/jobs")).body.filter(({ sample }: { sample: boolean }) => sample);
    const { body } = await bench.ask("GET", `/jobs/${id}/curves`);
    expect(body.map(({ position }: { position: string }) => position)).toContain("spare");
    for (const { points, count } of body) {
      expect(points.length).toBe(count);
      expect(points.length).toBeGreaterThan(0);
      const times = points.map(({ at }: { at: string }) => at);
      expect(times).toEqual(times.toSorted());
      expect(points[0].gaugeKpa).toBeGreaterThan(100);
      expect(points[0].temperatureC).toBeGreaterThan(-40);
    }
  });
});

describe("the hand-over sheet", () => {
  it("says what was found, and that of people stays text", async () => {
    const [sound] = (await bench.ask("GET", "/recordings")).body.filter(
      ({ name }: { name: string }) => name === "sound-car",
    );
    await analysed(bench, sound.hash);
    const { id } = await newJob({
      plate: '<script>alert("1")</script>',
      complaint: "lamp & noise",
      recordingHashes: [sound.hash],
      wheels: [
        { position: "left front", identity: "3a51c0de" },
        { position: "right front", identity: null },
      ],
    });
    const { body, headers, status } = await bench.ask("GET", `/jobs/${id}/sheet`);
    expect([status, headers.get("content-type")]).toEqual([200, "text/html; charset=utf-8"]);
    expect(body).not.toMatch(/<script|style=|onclick/);
    expect(body).toContain("&#60;script&#62;alert(&#34;1&#34;)&#60;/script&#62;");
    expect(body).toContain("lamp &#38; noise");
    const said = body.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");
    expect(said).toContain(
      "Left front 3a 51 c0 de 433.91 MHz 24 °C good 231 kPa 33.5 psi 230 kPa 33.4 psi As placard.",
    );
    expect(said).toContain("▲ Look here: Not heard");
    expect(said).toContain("Listened to sound-car.");
    expect((await bench.ask("GET", "/jobs/none/sheet")).status).toBe(404);
  });

  it("takes its size from the paper that is asked for, and no other", async () => {
    const { id } = await newJob({});
    for (const [paper, size] of [
      ["a4", "210mm 297mm"],
      ["letter", "8.5in 11in"],
    ]) {
      const { body } = await bench.ask("GET", `/jobs/${id}/sheet?paper=${paper}`);
      expect(body).toContain(`<link rel="stylesheet" href="/help/sheet-${paper}.css">`);
      const css = await fetch(`${bench.address}/help/sheet-${paper}.css`);
      expect([css.headers.get("content-type"), await css.text()]).toEqual([
        "text/css; charset=utf-8",
        `@page { size: ${size}; }\n`,
      ]);
    }
    expect((await bench.ask("GET", `/jobs/${id}/sheet`)).body).not.toContain("/help/sheet-");
    expect((await bench.ask("GET", `/jobs/${id}/sheet?paper=a3`)).status).toBe(400);
  });

  it("holds what was heard before the proof against what was heard after, and the old sensor against the new", async () => {
    const [sound] = (await bench.ask("GET", "/recordings")).body.filter(
      ({ name }: { name: string }) => name === "sound-car",
    );
    await analysed(bench, sound.hash);
    const replaced = { oldIdentity: "3a51c1a7", blank: false, copied: false, at: "2026-11-25T09:30:00Z" };
    const wheels = [
      { position: "left front", identity: "3a51c0de" },
      { position: "right front", identity: "12345678", replaced },
    ];
    const sheetAt = async (proofFrom: string) => {
      const { id } = await newJob({ recordingHashes: [sound.hash], wheels, proofFrom });
      const { body } = await bench.ask("GET", `/jobs/${id}/sheet`);
      return body.replace(/<[^>]+>/g, " ").replace(/\s+/g, " ");
    };
    const early = await sheetAt("2000-01-01T00:00:00Z");
    expect(early).toContain("Left front 3a 51 c0 de 433.91 MHz 24 °C good not heard 231 kPa 33.5 psi 230 kPa");
    const late = await sheetAt("2100-01-01T00:00:00Z");
    expect(late).toContain("good 231 kPa 33.5 psi not heard 230 kPa");
    expect(late).toMatch(/new 12 34 56 78 old 3a 51 c1 a7 – – – \d+ kPa [\d.]+ psi not heard 230 kPa/);
  });
});

it("the samples go in one act, and nothing else does", async () => {
  const before = (await bench.ask("GET", "/jobs")).body.filter(({ sample }: { sample: boolean }) => !sample);
  expect((await bench.ask("DELETE", "/samples")).body).toEqual({ recordings: 11, jobs: 1, lots: 1 });
  expect((await bench.ask("GET", "/recordings")).body).toEqual([]);
  expect((await bench.ask("GET", "/jobs")).body.map(({ id }: { id: string }) => id)).toEqual(
    before.map(({ id }: { id: string }) => id),
  );
  expect((await bench.ask("DELETE", "/samples")).body).toEqual({ recordings: 0, jobs: 0, lots: 0 });
});
