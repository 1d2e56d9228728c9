import { readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { addSampleLot, sampleEntries } from "../../server/bench/sampleLot.ts";
import type { LotBody, SpecimenMoreBody } from "../../server/http/wire/lots.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed } from "../support/http-samples.ts";
import { talkTo } from "../support/hub-bench.ts";
import { archiveOf, linesFrom, sample, samplesDir } from "../support/samples.ts";
import { noSerialPairs, serialPair } from "../support/serial-pair.ts";

const LOG = readFileSync(join(samplesDir, "box-of-twenty.gauge.csv"), "utf8");
const NOBODY_TELLS = "2026-03-07T09:30:00Z";

let bench: HttpBench;
let hash = "";
let nowMs = Date.parse(NOBODY_TELLS);
beforeAll(async () => {
  bench = await openBench({ now: () => nowMs });
  const bytes = await archiveOf("box", sample("box-of-twenty"));
  hash = (await bench.ask("POST", "/recordings?name=box.sigmf", { bytes })).body.hash;
  await analysed(bench, hash);
}, 120_000);
afterAll(() => bench.close());

const at = (revision: number) => ({ "if-match": `"${revision}"` });

async function lotWith(json: unknown): Promise<LotBody> {
  const { status, body } = await bench.ask("POST", "/lots", { json });
  expect(status).toBe(201);
  return body;
}

/** What the sample says in the end, however it came in. */
function expectTheSample(lot: LotBody): void {
  expect(lot.counts).toEqual({ within: 14, outside: 5, cannotTell: 1, leftOut: 0 });
  const told = lot.rows
    .filter(({ verdict }) => verdict !== "within")
    .map((row) => [row.number, row.verdict, row.because]);
  expect(told).toEqual([
    [4, "outside", expect.stringMatching(/^Identity: 5e1277f2 is the identity of specimen 18 too\./)],
    [
      7,
      "outside",
      expect.stringMatching(
        /^Pressure at 300 kPa, up: −11\.\d kPa ± 1\.\d lies outside ± 7\.0 kPa, by 4\.\d kPa\. And 2 more/,
      ),
    ],
    [
      11,
      "cannot tell",
      expect.stringMatching(/^Pressure at 300 kPa, up: 6\.\d kPa ± 1\.\d straddles the limit of ± 7\.0 kPa/),
    ],
    [
      13,
      "outside",
      expect.stringMatching(/^Answer: It was woken 3 times without an answer; of the others 100 % answered/),
    ],
    [
      16,
      "outside",
      expect.stringMatching(
        /^Carrier, mean of the set point where it is farthest off: 11\d\d\d Hz ± 1\d\d\d lies outside ± 8000 Hz/,
      ),
    ],
    [18, "outside", expect.stringMatching(/^Identity: 5e1277f2 is the identity of specimen 4 too\./)],
  ]);
  expect(flagKinds(lot, 16)).toEqual(["carrier walks"]);
  expect(lot.acceptance).toMatchObject({ sample: 20, accept: 1, outside: 5, cannotTell: 1, verdict: "reject" });
  expect(lot.stages.map(({ state }) => state)).toEqual(["done", "done", "done", "now"]);
}

/** But for those that say that another case had the same box. */
function flagKinds({ rows }: LotBody, number: number): string[] {
  return (rows[number - 1]?.flags ?? []).map(({ kind }) => kind as string).filter((kind) => kind !== "earlier lot");
}

/** The wakes that the receiver of the sample told of, for a lot that has its recording alone. */
function wakes() {
  const lines = readFileSync(join(samplesDir, "box-of-twenty.ndjson"), "utf8").trim().split("\n");
  return lines
    .map((line) => JSON.parse(line))
    .filter(({ type }) => type === "wake")
    .map(({ at: moment, position }) => ({ number: Number(position), at: moment }));
}

describe("a lot", () => {
  it("is begun, changed from its newest revision, removed and taken out of the bin", async () => {
    const begun = await bench.ask("POST", "/lots", { json: { title: "Nothing yet" } });
    const { id } = begun.body;
    expect([begun.status, begun.headers.get("location"), begun.headers.get("etag")]).toEqual([
      201,
      `/api/v1/lots/${id}`,
      '"1"',
    ]);
    expect(begun.body).toMatchObject({ rows: [], counts: { within: 0 }, acceptance: { verdict: "not finished" } });
    const changed = await bench.ask("PATCH", `/lots/${id}`, { json: { sample: 3 }, headers: at(1) });
    expect([changed.body.revision, changed.body.title, changed.body.rows.length]).toEqual([2, "Nothing yet", 3]);
    const stale = await bench.ask("PATCH", `/lots/${id}`, { json: { sample: 4 }, headers: at(1) });
    expect([stale.status, stale.body.current.sample]).toEqual([412, 3]);
    expect((await bench.ask("DELETE", `/lots/${id}`, { headers: at(2) })).status).toBe(204);
    expect((await bench.ask("GET", `/lots/${id}`)).status).toBe(404);
    expect((await bench.ask("GET", "/removed-lots")).body).toMatchObject([{ id, title: "Nothing yet" }]);
    expect((await bench.ask("POST", `/removed-lots/${id}/restore`)).body.title).toBe("Nothing yet");
    expect((await bench.ask("POST", `/removed-lots/${id}/restore`)).status).toBe(404);
    expect((await bench.ask("GET", "/lots")).body.map((lot: { id: string }) => lot.id)).toContain(id);
  });

  it.each([
    [{ sample: 0 }, "sample"],
    [{ colour: "red" }, "colour"],
    [{ limits: { ...sampleEntries().limits, pressureKpa: -7 } }, "limits.pressureKpa"],
    [{ limits: { ...sampleEntries().limits, identity: "5E1" } }, "limits.identity"],
    [{ rule: { kind: "risk", falseAccept: 0.9, falseReject: 0.1 } }, "rule.falseAccept"],
    [{ setPoints: [{ kpa: 100, way: "sideways" }] }, "setPoints[0].way"],
  ])("refuses %j by its key", async (json, path) => {
    const { status, body } = await bench.ask("POST", "/lots", { json });
    expect([status, body.complaints[0].path]).toEqual([400, path]);
  });

  // Before the other cases, which write down the same box.
  it("knows the specimens of an earlier lot, and two lots can be held against each other", async () => {
    const first = await lotWith({ ...sampleEntries(), title: "First", recordingHashes: [hash], wakes: wakes() });
    const logged = await bench.ask("POST", `/lots/${first.id}/gauge-logs`, { json: { name: "pot.csv", text: LOG } });
    expect([logged.body.revision, logged.headers.get("etag"), logged.body.specimens.length]).toEqual([2, '"2"', 19]);
    nowMs += 1000;
    const second = await lotWith({ ...sampleEntries(), title: "Second", recordingHashes: [hash], wakes: wakes() });
    const flagsOf = (lot: LotBody) => lot.rows.flatMap((row) => row.flags.filter(({ kind }) => kind === "earlier lot"));
    expect(flagsOf(second)).toHaveLength(19);
    expect(flagsOf(second)[0]?.says).toBe(`5e10a4c7 was in lot First (${first.id}) already.`);
    const { body } = await bench.ask("GET", `/lots/${first.id}/compared?with=${second.id}`);
    expect(body.comparisons.map(({ of }: { of: string }) => of)).toContain("Mean error of a specimen");
    expect(body.comparisons[0].says).toBe("Too few to compare: 19 and 0.");
    expect((await bench.ask("GET", `/lots/${first.id}/compared?with=none`)).status).toBe(404);
    await bench.ask("DELETE", `/lots/${first.id}`, { headers: at(2) });
    const still = (await bench.ask("GET", `/lots/${second.id}`)).body;
    expect(flagsOf(still)[0]?.says).toBe(`5e10a4c7 was in lot First (${first.id}, in the bin) already.`);
  });

  it("says exactly what is in the box, from a recording, a gauge's log and the marks of the wakes", async () => {
    const lot = await lotWith({ ...sampleEntries(), recordingHashes: [hash], wakes: wakes() });
    const logged = await bench.ask("POST", `/lots/${lot.id}/gauge-logs`, { json: { name: "pot.csv", text: LOG } });
    expect(logged.body.gaugeLogs).toMatchObject([{ name: "pot.csv", readings: expect.any(Number) }]);
    expectTheSample(logged.body);
    const said = logged.body.workedFills.map((fill: LotBody["workedFills"][number]) => [
      fill.from,
      fill.setPoint,
      Math.round(fill.gaugeKpa),
    ]);
    expect(said).toEqual([
      ["log", 0, 100],
      ["log", 1, 201],
      ["log", 2, 300],
      ["log", 3, 200],
      ["log", 4, 101],
    ]);
    const gone = await bench.ask("DELETE", `/lots/${lot.id}/gauge-logs/pot.csv`);
    expect([logged.body.revision, gone.body.revision, gone.headers.get("etag")]).toEqual([2, 3, '"3"']);
    expect([gone.body.gaugeLogs, gone.body.counts.within]).toEqual([[], 0]);
    expect((await bench.ask("DELETE", `/lots/${lot.id}/gauge-logs/pot.csv`)).status).toBe(404);
  });

  it("tells of one specimen all that its verdict stands on", async () => {
    const lot = await lotWith({ ...sampleEntries(), recordingHashes: [hash], wakes: wakes(), golden: null });
    await bench.ask("POST", `/lots/${lot.id}/gauge-logs`, { json: { name: "pot.csv", text: LOG } });
    const json = { golden: { lot: lot.id, number: 2 } };
    await bench.ask("PATCH", `/lots/${lot.id}`, { json, headers: at(2) });
    const more = async (number: number): Promise<SpecimenMoreBody> =>
      (await bench.ask("GET", `/lots/${lot.id}/specimens/${number}`)).body;
    const unsure = await more(11);
    expect(unsure.budgets).toHaveLength(5);
    for (const { parts, standard, expanded, coverage } of unsure.budgets) {
      expect(Math.hypot(...parts.map((part) => part.standard))).toBeCloseTo(standard, 12);
      expect(coverage * standard).toBeCloseTo(expanded, 12);
      expect(parts.map(({ of }) => of).slice(0, 2)).toEqual(["gauge", "reading the gauge"]);
    }
    expect(unsure.line?.slope).toBeGreaterThan(0.015);
    expect(unsure.line?.points).toHaveLength(5);
    expect(unsure.telegrams.length).toBeGreaterThan(20);
    expect(unsure.telegrams.every(({ recording }) => recording?.hash === hash)).toBe(true);
    expect(unsure.golden?.beside.filter(({ differs }) => differs).map(({ of }) => of)).toContain(
      "Error at 300 kPa, up",
    );
    expect(unsure.golden?.bursts?.here.hash).toBe(hash);
    const walking = await more(16);
    expect(walking.walk.hz! / 18_000).toBeCloseTo(1, 1);
    expect(walking.drift.count).toBe(3);
    // None drifts within its telegram, as the scenario has it.
    expect(Math.abs(walking.drift.hz!)).toBeLessThan(4 * walking.drift.sigmaHz!);
    const silent = await more(13);
    expect(silent.silence?.wasItWoken).toBe("Woken 3 times: nobody answered, while other specimens did.");
    expect(silent.silence?.couldWeHaveHeardIt).toMatch(/^Yes, most likely: 19 of the 19 other specimens came in/);
    expect(silent.silence?.steps.length).toBeGreaterThan(0);
    expect((await more(2)).silence).toBeNull();
    expect((await bench.ask("GET", `/lots/${lot.id}/specimens/21`)).status).toBe(404);

    // Of the 3, 5, 4, 4 and 4 readings of this one the first are too few now: its line stands on the others alone.
    await bench.ask("PATCH", `/lots/${lot.id}`, { json: { leastReadings: 4 }, headers: at(3) });
    const { line } = await more(11);
    expect(line?.points.map(({ way }) => way)).toEqual(["up", "up", "down", "down"]);
    for (const { gaugeKpa, errorKpa, residualKpa } of line!.points) {
      const { interceptKpa, slope, pivotKpa } = line!;
      expect(errorKpa - interceptKpa - slope * (gaugeKpa - pivotKpa)).toBeCloseTo(residualKpa, 9);
    }
    await bench.ask("PATCH", `/lots/${lot.id}`, { json: { leastReadings: 3 }, headers: at(4) });

    const csv = await bench.ask("GET", `/lots/${lot.id}/export?as=csv`);
    expect(csv.body.trim().split("\r\n")).toHaveLength(101);
    expect((await bench.ask("GET", `/lots/${lot.id}/export?as=csv&locale=de`)).body).toContain(";−".replace("−", "-"));
    expect((await bench.ask("GET", `/lots/${lot.id}/export?as=csv&locale=no-words-at-all!`)).status).toBe(400);
    const whole = (await bench.ask("GET", `/lots/${lot.id}/export`)).body;
    expect([whole.format, whole.readings.length, whole.readings[1].budgets.length]).toEqual(["wheelgram-lot", 20, 5]);
    const page = (await bench.ask("GET", `/lots/${lot.id}/record?paper=a4`)).body;
    expect(page).toContain("14 within, 5 outside, 1 cannot tell");
    const pdf = await fetch(`${bench.address}/api/v1/lots/${lot.id}/record.pdf`);
    expect(pdf.headers.get("content-type")).toBe("application/pdf");
    expect(
      Buffer.from(await pdf.arrayBuffer())
        .subarray(0, 5)
        .toString(),
    ).toBe("%PDF-");
  });

  it("says the same live, with the gauge read once a fill", async () => {
    const receiver = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "pot", port: 0 } })).body;
    const { limits, gauge, plan, fixture } = sampleEntries();
    const lot = await lotWith({ sample: 20, limits, gauge, plan, fixture, receiverIds: [receiver.id] });
    await bench.ask("POST", `/lots/${lot.id}/listening`, { json: { on: true } });
    const lines = linesFrom("box-of-twenty", new Date(nowMs + 1000))
      .trim()
      .split("\n");
    const sender = await talkTo(receiver.port);
    const begunMs = nowMs;
    let sent = 0;
    const upTo = async (seconds: number) => {
      nowMs = begunMs + 1000 * seconds;
      const due = lines.filter(
        (line) => Date.parse(/"at":"([^"]+)"/.exec(line)?.[1] ?? "1970-01-01T00:00:00Z") <= nowMs,
      );
      await sender.send(`${due.slice(sent).join("\n")}\n`);
      const bursts = due.filter((line) => line.includes('"burst"')).length;
      sent = due.length;
      await expect
        .poll(async () => (await bench.ask("GET", `/receivers/${receiver.id}`)).body.bursts, { timeout: 60_000 })
        .toBe(bursts);
    };
    await upTo(12);
    const registered: LotBody = (await bench.ask("GET", `/lots/${lot.id}`)).body;
    expect(registered.rows.filter(({ registeredBy }) => registeredBy === "wake")).toHaveLength(19);
    expect(registered.rows[12]).toMatchObject({ state: "no answer", wakes: 3, identity: null });
    expect(flagKinds(registered, 18)).toEqual(["duplicate"]);
    for (const [seconds, gaugeKpa] of [
      [15.6, 99.6],
      [20.6, 200.7],
      [25.6, 300.3],
      [30.6, 200.2],
    ] as const) {
      await upTo(seconds);
      const { body } = await bench.ask("POST", `/lots/${lot.id}/fills`, { json: { gaugeKpa, temperatureC: 20.5 } });
      expect(body.workedFills.at(-1)).toMatchObject({ gaugeKpa, settledFrom: expect.any(String) });
    }
    await upTo(40);
    const last = { gaugeKpa: 100.9, temperatureC: 20.5 };
    const filled: LotBody = (await bench.ask("POST", `/lots/${lot.id}/fills`, { json: last })).body;
    expectTheSample(filled);
    expect(filled.rows.filter(({ registeredBy }) => registeredBy === "hand")).toHaveLength(19);
    const fills = filled.fills.map((fill, i) => (i === 4 ? { ...fill, endedAt: "now" } : fill));
    const ended = await bench.ask("PATCH", `/lots/${lot.id}`, { json: { fills }, headers: at(filled.revision) });
    expect(Date.parse(ended.body.fills[4].endedAt)).toBe(nowMs);
    await bench.ask("POST", `/lots/${lot.id}/listening`, { json: { on: false } });
    // The recording of the same test beside it, whose clock is a second behind: nothing counts twice.
    const { revision } = (await bench.ask("GET", `/lots/${lot.id}`)).body;
    const both = await bench.ask("PATCH", `/lots/${lot.id}`, {
      json: { recordingHashes: [hash] },
      headers: at(revision),
    });
    expectTheSample(both.body);
    const told = (body: LotBody) => body.rows.map(({ number, telegrams, body: letter }) => [number, telegrams, letter]);
    expect(told(both.body)).toEqual(told(filled));
    const woken = await bench.ask("POST", `/lots/${lot.id}/wakes`, { json: { number: 13 } });
    expect(woken.body.rows[12].wakes).toBe(4);
    await sender.end();
  }, 120_000);

  it("of the samples has its specimens written down as their wakes give them", async () => {
    const { store } = bench.house;
    await addSampleLot(store, hash, samplesDir, new Date(nowMs).toISOString(), Math.random);
    const added = (await store.lots()).find(({ sample: isSample }) => isSample)!;
    const unwritten = await lotWith({ ...sampleEntries(), recordingHashes: [hash], wakes: wakes() });
    const { specimens }: LotBody = (await bench.ask("GET", `/lots/${added.id}`)).body;
    const heard = unwritten.rows.filter(({ identity }) => identity !== null);
    expect(heard).toHaveLength(19);
    expect(specimens.map(({ number, identity, body }) => [number, identity, body])).toEqual(
      heard.map(({ number, identity, body }) => [number, identity, body]),
    );
  });

  it("is full at so many fills and times of listening, and of wakes the oldest go", async () => {
    const time = "2026-03-07T09:00:00Z";
    const fill = { gaugeKpa: 100, temperatureC: null, setPoint: null, at: time, endedAt: null };
    const fills = Array.from({ length: 200 }, (_, i) => ({ ...fill, id: `f${i}` }));
    const listening = Array.from({ length: 200 }, () => ({ from: time, to: time }));
    const lot = await lotWith({ title: "Full", fills, listening });
    const more = (what: string, json: unknown) => bench.ask("POST", `/lots/${lot.id}/${what}`, { json });
    const refused = await more("fills", { gaugeKpa: 200 });
    expect([refused.status, refused.body.detail]).toEqual([409, `Lot ${lot.id} has 200 fills, and no more go in.`]);
    expect((await more("listening", { on: true })).status).toBe(409);
    const { status, body } = await more("wakes", { number: 501 });
    expect([status, body.complaints[0].path]).toEqual([400, "number"]);
    expect((await more("wakes", { number: 500 })).status).toBe(200);
  });

  it("is written down when listening ends", async () => {
    const { id } = await lotWith({ ...sampleEntries(), recordingHashes: [hash], wakes: wakes() });
    await bench.ask("POST", `/lots/${id}/listening`, { json: { on: true } });
    const { body } = await bench.ask("POST", `/lots/${id}/listening`, { json: { on: false } });
    expect(body.specimens.map(({ identity }: { identity: string }) => identity)).toContain("5e10a4c7");
  });

  it("has the clock of its recordings, and ours as soon as a live receiver is ticked", async () => {
    const before = nowMs;
    const { id } = await lotWith({ ...sampleEntries(), recordingHashes: [hash] });
    const clock = async () => Date.parse((await bench.ask("GET", `/lots/${id}`)).body.clock);
    const newest = await clock();
    nowMs = newest + 3_600_000; // the file is an hour old
    expect(await clock()).toBe(newest);
    const receiver = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "late", port: 0 } })).body;
    await bench.ask("PATCH", `/lots/${id}`, { json: { receiverIds: [receiver.id] }, headers: at(1) });
    nowMs = newest + 30 * 3_600_000; // taken up again on the next day
    expect(await clock()).toBe(nowMs);
    nowMs = before;
  });

  it("is worked out once while nothing was heard or written, and gives up where it is always overtaken", async () => {
    const lot = await lotWith({ ...sampleEntries(), recordingHashes: [hash], wakes: wakes() });
    const { store } = bench.house;
    const asked = vi.spyOn(store, "gaugeOf");
    await bench.ask("GET", `/lots/${lot.id}`);
    await bench.ask("GET", `/lots/${lot.id}`);
    await bench.ask("GET", `/lots/${lot.id}/specimens/2`);
    expect(asked.mock.calls.length).toBeLessThanOrEqual(1);
    asked.mockRestore();
    const change = vi.spyOn(store, "changeLot").mockImplementation(async (id) => {
      return { ok: false, error: "stale", current: (await store.lot(id))! };
    });
    const { status } = await bench.ask("POST", `/lots/${lot.id}/wakes`, { json: { number: 2 } });
    expect([status, change.mock.calls.length]).toEqual([412, 20]);
    change.mockRestore();
  });

  it("has its gauge read no more once it goes with the samples", async () => {
    const id = "sample-lot";
    await bench.house.store.addLot({
      id,
      revision: 1,
      createdAt: NOBODY_TELLS,
      changedAt: NOBODY_TELLS,
      sample: true,
      body: sampleEntries(),
    });
    const json = { path: "/dev/no-such-gauge", baudRate: 9600, unit: "kPa" };
    await bench.ask("PUT", `/lots/${id}/gauge-line`, { json });
    expect(bench.house.gauges.stateOf(id)).not.toBeNull();
    expect((await bench.ask("DELETE", "/samples")).body.lots).toBeGreaterThan(0);
    expect(bench.house.gauges.stateOf(id)).toBeNull();
  });

  it("refuses a log by its line, and leaves what was there", async () => {
    const lot = await lotWith({ title: "Log" });
    const json = { name: "pot.csv", text: "time,kPa\n2026-03-07T09:30:00Z,100\n2026-03-07T09:30:01Z,plenty\n" };
    const refused = await bench.ask("POST", `/lots/${lot.id}/gauge-logs`, { json });
    expect([refused.status, refused.body.complaints[0].path]).toEqual([400, "line 3"]);
    expect((await bench.ask("GET", `/lots/${lot.id}`)).body.gaugeLogs).toEqual([]);
  });
});

describe.skipIf(noSerialPairs !== undefined)("a gauge on a serial port", () => {
  it("is read line by line, without halves of figures", async () => {
    const pair = serialPair();
    const end = await pair.plug();
    const lot = await lotWith({ title: "Gauge" });
    const json = { path: pair.path, baudRate: 9600, unit: "bar" };
    await bench.ask("PUT", `/lots/${lot.id}/gauge-line`, { json });
    const state = async () => (await bench.ask("GET", `/lots/${lot.id}`)).body.gaugeLine;
    await expect.poll(async () => (await state()).state, { timeout: 20_000 }).toBe("listening");
    await end.send(Buffer.from("04 bar\r\nST,GS,+ 230.4 kPa\r\nno figure\r\n2.310\r\n2.3"));
    await expect.poll(async () => (await state()).lastKpa, { timeout: 20_000 }).toBeCloseTo(231, 6);
    const { gaugeLogs } = (await bench.ask("GET", `/lots/${lot.id}`)).body;
    expect(gaugeLogs).toMatchObject([{ name: pair.path, readings: 2 }]);
    const says = (body: LotBody) => body.warnings.map((one) => one.says).filter((one) => one.includes(pair.path));
    const read: LotBody = (await bench.ask("GET", `/lots/${lot.id}`)).body;
    expect([read.revision, says(read)]).toEqual([2, []]);
    await bench.ask("DELETE", `/lots/${lot.id}`, { headers: at(2) });
    const restored: LotBody = (await bench.ask("POST", `/removed-lots/${lot.id}/restore`)).body;
    const again = `The gauge on ${pair.path} is not read any more: start it again before the next fill.`;
    expect([restored.gaugeLine, says(restored)]).toEqual([null, [again]]);
    const stopped = (await bench.ask("DELETE", `/lots/${lot.id}/gauge-line`)).body;
    expect([stopped.gaugeLine, stopped.revision]).toEqual([null, 3]);
    await pair.close();
  }, 60_000);
});
