import { afterEach, beforeEach, expect, it } from "vitest";
import { heardOf, type Stretch } from "../../server/http/heardOf.ts";
import type { House } from "../../server/http/house.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import type { Store } from "../../server/store/store.ts";
import { temporaryFolder } from "../support/folder.ts";
import { at, heardBurst, receiver, telegram } from "../support/store-data.ts";

const COUNT = 40;
const WHOLE: Stretch = { from: at(0), to: at(59) };

let store: Store;
beforeEach(async () => {
  store = await openSqliteStore(`${temporaryFolder("heard")}/store.db`);
  await store.addReceiver(receiver("r1"));
  const seconds = Array.from({ length: COUNT }, (_, i) => i);
  await store.keepHeard(
    seconds.map((second) => heardBurst(`u${second}`, second)),
    seconds.map((second) => telegram(`t${second}`, { at: at(second) })),
  );
});

afterEach(() => store.close());

async function heard(stretches: readonly Stretch[], bursts = 100, telegrams = 100) {
  const found = await heardOf({ store } as unknown as House, [], ["r1"], () => stretches, { bursts, telegrams });
  return { ...found, bursts: found.bursts.map((one) => one.at), telegrams: found.telegrams.map((one) => one.at) };
}

const seconds = (from: number, to: number) => Array.from({ length: to - from }, (_, i) => at(from + i));

it("what came in a stretch long ago is found, however much came since", async () => {
  const found = await heard([{ from: at(2), to: at(5) }], 5, 5);
  expect(found).toEqual({ telegrams: seconds(2, 5), bursts: seconds(2, 5), cut: [] });
});

it("of too much the first and the last telegrams and the last bursts stay, and it is told", async () => {
  const found = await heard([WHOLE], 7, 10);
  expect(found.bursts).toEqual(seconds(COUNT - 7, COUNT));
  expect(found.telegrams.slice(0, 5)).toEqual(seconds(0, 5));
  expect(found.telegrams.slice(-5)).toEqual(seconds(COUNT - 5, COUNT));
  expect(found.cut).toEqual(["r1"]);
});

it("exactly as much as is looked at is not cut", async () => {
  expect(await heard([WHOLE], COUNT, COUNT)).toEqual({
    telegrams: seconds(0, COUNT),
    bursts: seconds(0, COUNT),
    cut: [],
  });
  expect((await heard([WHOLE], COUNT, COUNT - 1)).cut).toEqual(["r1"]);
  expect((await heard([WHOLE], COUNT - 1, COUNT)).cut).toEqual(["r1"]);
});

it("stretches that overlap give nothing twice, and the limit is for all of them", async () => {
  const stretches = [
    { from: at(20), to: at(30) },
    { from: at(2), to: at(6) },
    { from: at(4), to: at(8) },
  ];
  const all = [...seconds(2, 8), ...seconds(20, 30)];
  expect(await heard(stretches)).toEqual({ telegrams: all, bursts: all, cut: [] });
  expect((await heard(stretches, 12)).bursts).toEqual(all.slice(-12));
});
