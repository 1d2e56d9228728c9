import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { emptyCard } from "../support/http-samples.ts";

let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(() => bench.close());

const open = (key: string, json: object = { ...emptyCard, plate: "KEY 1" }) =>
  bench.ask("POST", "/jobs", { json, headers: { "idempotency-key": key } });
const count = async () => (await bench.ask("GET", "/jobs")).body.length;

describe("a write with an Idempotency-Key", () => {
  it("is done once, and answered the same each time it is sent", async () => {
    const before = await count();
    const first = await open('"first"');
    expect(first.status).toBe(201);
    const again = await open('"first"');
    expect([again.status, again.body, again.headers.get("location"), again.headers.get("etag")]).toEqual([
      201,
      first.body,
      first.headers.get("location"),
      first.headers.get("etag"),
    ]);
    expect(await count()).toBe(before + 1);
  });

  it("is refused with 422 where the key stood before another body, with 409 while the first is under way", async () => {
    await open("second");
    expect(await open("second", { ...emptyCard, plate: "KEY 2" })).toMatchObject({
      status: 422,
      body: { type: "/help/problems/other-write" },
    });
    const before = await count();
    const all = await Promise.all(Array.from({ length: 5 }, () => open("third")));
    const statuses = all.map(({ status }) => status).toSorted();
    expect(statuses[0]).toBe(201);
    expect(statuses.every((status) => status === 201 || status === 409)).toBe(true);
    expect(await count()).toBe(before + 1);
  });

  it("may come again after a refusal, since nothing was done", async () => {
    const { body } = await open("fourth");
    const patch = (revision: number) =>
      bench.ask("PATCH", `/jobs/${body.id}`, {
        json: { plate: "KEY 3" },
        headers: { "if-match": `"${revision}"`, "idempotency-key": `"p${revision}"` },
      });
    expect((await patch(7)).status).toBe(412);
    expect((await patch(7)).status).toBe(412);
    expect((await patch(1)).body.revision).toBe(2);
    expect((await patch(1)).body.revision).toBe(2); // without the key it would be 412
  });

  it("is not done again after a start, and where the server died in the middle it says that nobody knows", async () => {
    const { store } = bench.house;
    const first = await open("fifth");
    const asked = { key: "fifth", path: "/api/v1/jobs", asked: "", at: "2026-11-29T09:00:00Z" };
    const kept = await store.beginNamed(asked, "2026-11-01T00:00:00Z");
    expect(kept?.answer).toMatchObject({ status: 201, body: { id: first.body.id } });
    const half = await open("sixth").then(async ({ body }) => {
      await store.dropNamed("sixth");
      return body;
    });
    expect(half.plate).toBe("KEY 1");
    await store.beginNamed({ ...asked, key: "sixth", asked: kept?.asked ?? "" }, "2026-11-01T00:00:00Z");
    expect(await open("sixth")).toMatchObject({
      status: 409,
      body: { nextSteps: [expect.stringMatching(/^Look/), expect.anything()] },
    });
  });

  it("is forgotten after a day, and at once where names are wiped", async () => {
    const { store } = bench.house;
    const { body, headers } = await open("seventh");
    const wiped = await bench.ask("POST", `/jobs/${body.id}/anonymous`, {
      headers: { "if-match": headers.get("etag") ?? "" },
    });
    expect(wiped.status).toBe(200);
    const asked = { path: "/api/v1/jobs", asked: "", at: "2026-11-29T09:00:00Z" };
    expect(await store.beginNamed({ ...asked, key: "seventh" }, "2026-11-01T00:00:00Z")).toBeUndefined();
    await open("eighth");
    expect(await store.beginNamed({ ...asked, key: "eighth" }, "2099-01-01T00:00:00Z")).toBeUndefined();
  });

  it("is refused where the key cannot be read", async () => {
    expect((await open('""')).status).toBe(400);
    expect((await open("x".repeat(201))).status).toBe(400);
  });
});
