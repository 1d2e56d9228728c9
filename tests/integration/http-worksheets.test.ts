import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { WorkedOutBody } from "../../server/http/wire/workshop.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed, emptyCard } from "../support/http-samples.ts";
import { archiveOf, sample } from "../support/samples.ts";

let bench: HttpBench;
let hash = "";
beforeAll(async () => {
  bench = await openBench();
  const bytes = await archiveOf("unknown", sample("unknown-layout"));
  hash = (await bench.ask("POST", "/recordings?name=unknown.sigmf", { bytes })).body.hash;
  await analysed(bench, hash);
});
afterAll(() => bench.close());

const at = (revision: number) => ({ "if-match": `"${revision}"` });

async function begun(): Promise<string> {
  const { body } = await bench.ask("POST", "/worksheets", { json: { title: "Four trolleys" } });
  await bench.ask("POST", `/worksheets/${body.id}/bursts`, { json: { recordings: [hash] }, headers: at(1) });
  return body.id;
}

async function step(id: string, json: unknown): Promise<{ readonly status: number; readonly body: unknown }> {
  const { revision } = (await bench.ask("GET", `/worksheets/${id}`)).body;
  return bench.ask("POST", `/worksheets/${id}/steps`, { json, headers: at(revision) });
}

async function workedOut(id: string): Promise<WorkedOutBody> {
  const { status, body } = await bench.ask("GET", `/worksheets/${id}/worked-out`);
  expect(status).toBe(200);
  return body;
}

describe("a worksheet", () => {
  it("is empty, and says so", async () => {
    const { status, body, headers } = await bench.ask("POST", "/worksheets", { json: { title: "Nothing yet" } });
    expect([status, headers.get("location"), headers.get("etag")]).toEqual([
      201,
      `/api/v1/worksheets/${body.id}`,
      '"1"',
    ]);
    const { stations, frames } = await workedOut(body.id);
    expect([stations, frames]).toEqual([
      [{ name: "gather", says: ["Nothing was brought in that no layout reads."] }],
      null,
    ]);
  });

  it("takes the unread bursts of a recording, once, and works out what they come to", async () => {
    const id = await begun();
    const again = await bench.ask("POST", `/worksheets/${id}/bursts`, { json: { recordings: [hash] }, headers: at(2) });
    expect([again.body.revision, again.body.worksheet.bursts.length]).toEqual([2, 24]);
    const { groups, frames } = await workedOut(id);
    expect(groups.map(({ bursts, chosen }) => [bursts.length, chosen])).toEqual([[24, true]]);
    expect(frames?.lineUp.codes.find(({ taken }) => taken)?.lineCode).toMatch(/^manchester-/);
    expect(frames?.telegrams.length).toBe(8 - frames!.aside.length);
  });

  it("says which recordings have something to bring in", async () => {
    const { body } = await bench.ask("GET", "/unread");
    expect(body).toEqual([{ hash, name: "unknown.sigmf", count: 24 }]);
    const id = await begun();
    const json = { recordings: ["none"] };
    const refused = await bench.ask("POST", `/worksheets/${id}/bursts`, { json, headers: at(2) });
    expect([refused.status, refused.body.detail]).toEqual([404, "There is no recording none."]);
  });

  it("keeps what is decided, takes it back, and does it again", async () => {
    const id = await begun();
    const before = await workedOut(id);
    const left = before.groups[0]!.bursts[0]!;
    await step(id, { says: "Left out one", change: { leftOut: [left] } });
    expect((await workedOut(id)).groups[0]!.bursts).toHaveLength(23);
    const back = await step(id, { takeBack: true });
    expect(back.body).toMatchObject({ now: { leftOut: [] }, takenBack: [{ says: "Left out one" }] });
    const { revision: _now, ...same } = await workedOut(id);
    const { revision: _then, ...first } = before;
    expect(same).toEqual(first);
    expect((await step(id, { doAgain: true })).body).toMatchObject({ now: { leftOut: [left] } });
    await step(id, { takeBack: true });
    await step(id, { says: "Read it as NRZ", change: { lineCode: "nrz" } });
    expect((await workedOut(id)).frames?.lineUp.codes.find(({ taken }) => taken)?.lineCode).toBe("nrz");
  });

  it("reads fields that are named by hand, where they were named", async () => {
    const id = await begun();
    const { frames } = await workedOut(id);
    const field = { name: "state", at: 8, bits: 24, type: "identity" } as const;
    await step(id, { says: "Named it", change: { ...frames!.told, named: [field] } });
    const after = await workedOut(id);
    expect(after.frames?.senders).toMatchObject({ at: 8, bits: 24 });
    expect(after.frames?.fields[0]).toMatchObject({ named: true, field });
  });

  it("takes a gauge log, and says which line of one cannot be read", async () => {
    const id = await begun();
    const bad = { name: "gauge.csv", text: "time,kPa,degC\n0,350,20\n1,soft,20\n" };
    const refused = await bench.ask("POST", `/worksheets/${id}/logs`, { json: bad, headers: at(2) });
    expect([refused.status, refused.body.complaints]).toEqual([
      400,
      [{ path: "line 3", found: "soft", allowed: "a pressure in kPa, from 0 to 2000 kPa" }],
    ]);
    const good = { name: "gauge.csv", text: "0,350,20\n1,340,20\n2,330,20\n" };
    const { body } = await bench.ask("POST", `/worksheets/${id}/logs`, { json: good, headers: at(2) });
    expect([body.worksheet.logs[0].readings.length, body.worksheet.now.logs]).toEqual([3, ["gauge.csv 1"]]);
    expect((await workedOut(id)).frames?.telegrams[0]?.kPa).toBeGreaterThan(320);
  });

  it("goes on elsewhere as a file, with its steps", async () => {
    const id = await begun();
    const { body } = await bench.ask("GET", `/worksheets/${id}`);
    const sent = await bench.ask("POST", "/worksheets", { json: { worksheet: body.worksheet } });
    expect(sent.status).toBe(201);
    expect(sent.body.id).not.toBe(id);
    const again = (await bench.ask("GET", `/worksheets/${sent.body.id}`)).body;
    expect(again.worksheet).toEqual(body.worksheet);
    const torn = { ...body.worksheet, now: { ...body.worksheet.now, leftOut: "all" } };
    expect((await bench.ask("POST", "/worksheets", { json: { worksheet: torn } })).status).toBe(400);
    const [first, ...others] = body.worksheet.bursts;
    const short = { ...body.worksheet, bursts: [{ ...first, symbols: first.symbols.slice(2) }, ...others] };
    const refused = await bench.ask("POST", "/worksheets", { json: { worksheet: short } });
    expect([refused.status, JSON.stringify(refused.body.complaints)]).toEqual([
      400,
      expect.stringContaining("as many hex digits as its symbols fill"),
    ]);
  });

  it("is removed, and taken back", async () => {
    const id = await begun();
    expect((await bench.ask("DELETE", `/worksheets/${id}`, { headers: at(2) })).status).toBe(204);
    expect((await bench.ask("GET", `/worksheets/${id}`)).status).toBe(404);
    expect((await bench.ask("POST", `/worksheets/${id}/restore`)).status).toBe(200);
    const list = (await bench.ask("GET", "/worksheets")).body;
    expect(list.find((one: { id: string }) => one.id === id)).toMatchObject({ title: "Four trolleys", burstCount: 24 });
  });

  it("refuses a step that is based on an older revision", async () => {
    const id = await begun();
    const json = { takeBack: true };
    const { status, body } = await bench.ask("POST", `/worksheets/${id}/steps`, { json, headers: at(1) });
    expect([status, body.current.revision]).toEqual([412, 2]);
  });

  it("does not go on the shelf without name, source and test frames", async () => {
    const id = await begun();
    const { status, body } = await bench.ask("POST", `/worksheets/${id}/shelf`, { headers: at(2) });
    expect(status).toBe(400);
    expect(body.complaints.map(({ path }: { path: string }) => path)).toEqual([
      "naming.id",
      "naming.title",
      "naming.source",
      "proof",
    ]);
  });

  it("is begun from a job's card, with what its visits heard, and without its plate", async () => {
    const receiver = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "door", port: 0 } })).body;
    const wheels = emptyCard.wheels.map((wheel, i) => ({ ...wheel, handGaugeKpa: i === 0 ? 345 : null }));
    const json = { ...emptyCard, wheels, receiverIds: [receiver.id], recordingHashes: [hash] };
    const job = (await bench.ask("POST", "/jobs", { json })).body;
    const [burst] = (await bench.house.store.burstsOf(hash)).filter(({ outcome }) => outcome !== "telegram");
    const heardAt = (minutes: number) => new Date(Date.parse(job.createdAt) + 60_000 * minutes).toISOString();
    const on = { receiverId: receiver.id };
    const heard = [-30, 1, 2].map((minutes, i) => ({ id: `h-${i}`, at: heardAt(minutes), on, burst: burst! }));
    await bench.house.store.keepHeard(heard, []);
    // The left front wheel was woken just before the last of them.
    const wakes = [{ position: "left front", at: heardAt(1.99) }];
    await bench.ask("PATCH", `/jobs/${job.id}`, { json: { wakes }, headers: at(job.revision) });
    const begun = await bench.ask("POST", "/worksheets", { json: { job: job.id } });
    const { body } = await bench.ask("GET", `/worksheets/${begun.body.id}`);
    expect(body.worksheet.now.figures).toEqual([{ of: ["h-2"], kPa: 345, degC: null }]);
    expect([begun.status, body.title, body.jobId]).toEqual([201, `Card ${job.id}`, job.id]);
    expect(body.worksheet.bursts.length).toBe(24 + 2);
    expect(
      body.worksheet.bursts.filter(({ source }: { source: string }) => source.startsWith(receiver.id)),
    ).toMatchObject([{ id: "h-1", atSeconds: Date.parse(heardAt(1)) / 1000, recording: null }, { id: "h-2" }]);
    expect(JSON.stringify(body)).not.toContain(emptyCard.plate);
    expect((await bench.ask("POST", "/worksheets", { json: { job: "2222" } })).status).toBe(404);

    const now = new Date().toISOString();
    await bench.house.store.keepHeard([{ ...heard[0]!, id: "h-now", at: now }], []);
    const empty = (await bench.ask("POST", "/worksheets", { json: { title: "Lately" } })).body;
    const brought = await bench.ask("POST", `/worksheets/${empty.id}/bursts`, {
      json: { receivers: [receiver.id], minutes: 5 },
      headers: at(1),
    });
    expect(brought.body.worksheet.bursts.map(({ id }: { id: string }) => id)).toContain("h-now");
  });
});
