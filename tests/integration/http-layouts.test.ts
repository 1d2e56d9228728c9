import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed } from "../support/http-samples.ts";
import { archiveOf, sample } from "../support/samples.ts";

let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(() => bench.close());

const pilot = JSON.parse(readFileSync(new URL("../../decoders/layouts/pilot-car.json", import.meta.url), "utf8"));
const mine = { ...pilot, id: "quay-car", title: "Made for a test" };

describe("the shelf", () => {
  it("begins with the layouts of the house", async () => {
    const { body } = await bench.ask("GET", "/layouts");
    expect(body.map(({ layout }: { layout: unknown }) => layout)).toEqual(builtinLayouts);
    expect((await bench.ask("GET", "/layouts/pilot-car")).body).toEqual([
      { id: "pilot-car", version: 1, builtin: true, addedAt: null, layout: pilot, tests: [] },
    ]);
  });

  it("takes a layout and its next version, and keeps the first", async () => {
    const first = await bench.ask("POST", "/layouts", { json: mine });
    expect([first.status, first.headers.get("location")]).toEqual([201, "/api/v1/layouts/quay-car"]);
    const second = await bench.ask("POST", "/layouts", { json: { ...mine, title: "Made anew" } });
    expect(second.body).toMatchObject({ id: "quay-car", version: 2, builtin: false });
    const { body } = await bench.ask("GET", "/layouts/quay-car");
    expect(body).toEqual([first.body, second.body]);
    const all = (await bench.ask("GET", "/layouts")).body;
    expect(all).toHaveLength(builtinLayouts.length + 1);
    expect(all.at(-1)).toEqual(second.body);
  });

  it.each([
    [{ ...mine, bits: 71 }, "checks"],
    [{ ...mine, symbolRate: "fast" }, "symbolRate"],
    [{ ...mine, colour: 1 }, "colour"],
    [[], ""],
  ])("refuses a file that is no layout, key by key", async (json, path) => {
    const { status, body } = await bench.ask("POST", "/layouts", { json });
    expect(status).toBe(400);
    expect(body.complaints[0].path).toContain(path);
  });

  it("does not let one of the house be changed", async () => {
    const { status, body } = await bench.ask("POST", "/layouts", { json: pilot });
    expect([status, body.nextSteps[0]]).toEqual([409, "Give yours an id of its own."]);
  });

  it("has no layout that nobody put there", async () => {
    expect((await bench.ask("GET", "/layouts/none")).status).toBe(404);
  });
});

it("a recording that no layout reads is read once its layout is on the shelf and it is analysed again", async () => {
  const bytes = await archiveOf("unknown", sample("unknown-layout"));
  const { hash } = (await bench.ask("POST", "/recordings?name=unknown.sigmf", { bytes })).body;
  expect((await analysed(bench, hash)).summary.sensors).toEqual(["3a4f77d1"]);
  const scenario = JSON.parse(readFileSync(new URL("../../seeds/unknown-layout.json", import.meta.url), "utf8"));
  const trolley = scenario.layouts[0].layout;
  expect((await bench.ask("POST", "/layouts", { json: trolley })).status).toBe(201);
  await bench.ask("POST", `/recordings/${hash}/analysis`);
  const again = await analysed(bench, hash);
  expect(again.summary.sensors.toSorted()).toEqual(["3a4f77d1", "7c09f40", "7c0a113", "7c0a15e", "7c0a208"]);
});
