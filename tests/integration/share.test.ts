import { afterAll, beforeAll, expect, it } from "vitest";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed, emptyCard } from "../support/http-samples.ts";
import { archiveOf, sample } from "../support/samples.ts";

const IDS = ["3a51c0de", "3a51c1a7", "3a51c2f9", "3a51bb04"];
const SECRETS = ["PRIVATE 7", "grey van of the baker", "noise at the left", "bay.sigmf"];

let bench: HttpBench;
let id: string;
beforeAll(async () => {
  bench = await openBench();
  const archive = await archiveOf("sound-car", sample("sound-car"));
  const { hash } = (await bench.ask("POST", `/recordings?name=${SECRETS[3]}`, { bytes: archive })).body;
  await analysed(bench, hash);
  const wheels = emptyCard.wheels.map((wheel, i) => ({ ...wheel, identity: IDS[i] }));
  const card = {
    ...emptyCard,
    plate: SECRETS[0],
    vehicle: SECRETS[1],
    complaint: `${SECRETS[2]}, sensor ${IDS[0]}`,
    altitudeM: 1234,
    ambientKpa: 87.6,
    wheels,
    recordingHashes: [hash],
  };
  id = (await bench.ask("POST", "/jobs", { json: card })).body.id;
});
afterAll(() => bench.close());

const share = async (query = "") => {
  const answer = await bench.ask("GET", `/jobs/${id}/share${query}`);
  return { ...answer, text: JSON.stringify(answer.body) };
};

it("a file to share has the telegrams, and no ID, plate, text, name or place", async () => {
  const { status, body, text, headers } = await share();
  expect(status).toBe(200);
  expect(headers.get("content-disposition")).not.toContain(id);
  expect(body.telegrams).toHaveLength(4);
  for (const secret of [...IDS, ...SECRETS, "1234", "87.6"])
    expect(text.toLowerCase()).not.toContain(secret.toLowerCase());
  // Nor as the number or the bits that they are on air.
  for (const one of IDS) expect(text).not.toContain(String(Number.parseInt(one, 16)));
  expect(text).not.toContain('"bits"');
  const names = new Set(body.telegrams.map(({ identity }: { identity: string }) => identity));
  expect(names.size).toBe(4);
  expect([...names].every((name) => /^sensor-[0-9a-f]{8}$/.test(String(name)))).toBe(true);
  expect(
    body.job.wheels.map(({ identity }: { identity: string }) => identity).every((name: string) => names.has(name)),
  ).toBe(true);
});

it("a sensor has the same other name every time, and another one in another house", async () => {
  const first = (await share()).body.telegrams[0].identity;
  expect((await share()).body.telegrams[0].identity).toBe(first);
  await bench.house.store.setSetting("share secret", "of another house");
  expect((await share()).body.telegrams[0].identity).not.toBe(first);
});

it("leaves each of them in where that is asked for, and says beforehand what is in it", async () => {
  expect((await share("?identities=keep")).text).toContain(IDS[0]);
  expect((await share("?plate=keep")).text).toContain(SECRETS[0]);
  expect((await share("?plate=keep")).text).not.toContain(IDS[0]); // also not in what was typed
  expect((await share("?position=keep")).text).toContain("1234");
  const parts = async (query = "") => (await bench.ask("GET", `/jobs/${id}/share/contents${query}`)).body;
  const isIn = (all: { what: string; isIn: boolean }[], word: string) =>
    all.find(({ what }) => what.includes(word))?.isIn;
  expect([
    isIn(await parts(), "IDs of sensors"),
    isIn(await parts(), "plate"),
    isIn(await parts(), "altitude"),
  ]).toEqual([false, false, false]);
  expect(isIn(await parts("?identities=keep"), "IDs of sensors")).toBe(true);
  expect((await bench.ask("GET", `/jobs/${id}/share?identities=drop`)).status).toBe(400);
  expect((await bench.ask("GET", "/jobs/NONE/share")).status).toBe(404);
});
