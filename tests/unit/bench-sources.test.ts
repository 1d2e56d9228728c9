import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { bodiesOf } from "../../server/bench/bodies.ts";
import { radioFigures } from "../../server/bench/radio.ts";
import { oneOfEach } from "../../server/bench/sources.ts";
import { type LotHeard, workOut } from "../../server/bench/workOut.ts";
import type { HeardOn } from "../../server/store/store.ts";
import { drawnLot, type LotWishes } from "../support/drawn-lot.ts";
import { said, usualLot } from "../support/said.ts";

const WISHES: LotWishes = {
  layout: builtinLayouts.find(({ id }) => id === "ice-lorry")!,
  specimens: 12,
  kinds: { "far outside": 1, dumb: 1, twin: 2, walking: 1 },
  errors: { offsetKpa: 0.6, gain: 0.003, hysteresisKpa: 0.3 },
  limitKpa: 5,
  scatterKpa: 0.6,
  gauge: { stated: "certificate", errorKpa: 1, resolutionKpa: 0.1, drawn: "once a lot" },
  pot: { rampSeconds: 12, coolingKpa: 3, coolingSeconds: 8, stillSeconds: 60 },
  readings: 4,
  carrier: { scatterHz: 100, receiverPpm: 2.5 },
  on: "receiver",
};

/** The same test on another source too, whose reference and clock are off. */
function alsoOn(heard: LotHeard, on: HeardOn, { shiftHz = 1300, offsetMs = 0, part = (_: number) => true }): LotHeard {
  const later = (at: string, i: number) => new Date(Date.parse(at) + offsetMs + (i % 7) - 3).toISOString();
  const also = heard.telegrams.flatMap((one, i) => {
    if (!part(i)) return [];
    const { telegram } = one;
    const carrierHz = telegram.carrierHz + shiftHz;
    return [{ ...one, id: `also-${one.id}`, at: later(one.at, i), on, telegram: { ...telegram, carrierHz } }];
  });
  return { ...heard, telegrams: [...heard.telegrams, ...also] };
}

const told = (worked: ReturnType<typeof workOut>) =>
  worked.specimens.map(({ registered, said: own, verdict, because, flags, pressure, radio }) => ({
    number: registered.number,
    body: registered.body && registered.body.identity + registered.body.letter,
    telegrams: own.length,
    verdict,
    because,
    flags,
    readings: pressure.cells.map(({ readings }) => readings),
    walk: radio.walk && Math.round(radio.walk.hz / 100),
    perWake: radio.perWake,
  }));

describe("a test that two sources heard", () => {
  const { lot, heard } = drawnLot(WISHES, 5);
  const once = told(workOut(lot, heard));

  it("comes out as one that the first heard alone, whatever the other's carriers are off by", () => {
    expect(told(workOut(lot, alsoOn(heard, { receiverId: "r2" }, {})))).toEqual(once);
    const halves = alsoOn(heard, { receiverId: "r2" }, { part: (i) => i % 2 === 0, shiftHz: -5000 });
    expect(told(workOut(lot, halves))).toEqual(once);
  });

  it("comes out the same with a recording whose clock is off", () => {
    const recorded = alsoOn(heard, { recordingHash: "e".repeat(64) }, { offsetMs: 4200 });
    expect(told(workOut(lot, recorded))).toEqual(once);
  });

  it("does not split an identity of which each heard its own part", () => {
    const halves = alsoOn(heard, { receiverId: "r2" }, { shiftHz: 3000 });
    // In turn: the first of two on this source alone, the second on the other.
    const inTurn = halves.telegrams.filter(
      ({ id }) => (Number(/\d+$/.exec(id)![0]) % 2 === 0) === id.startsWith("also"),
    );
    expect(
      workOut(lot, { ...heard, telegrams: inTurn }).specimens.map(({ registered }) => registered.body?.letter),
    ).toEqual(once.map(({ body }) => body?.replace(/^[0-9a-f]{8}/, "")));
  });
});

describe("telegrams of several sources", () => {
  const r1 = { source: "receiver r1" };
  const r2 = { source: "receiver r2", carrierHz: 433_921_300 };
  const file = { source: "recording ab", carrierHz: 433_919_000, recording: { hash: "ab", index: 3 } };
  const merged = (...all: ReturnType<typeof said>[]) =>
    oneOfEach(all.map((one) => ({ said: one, says: `${one.kpa}` })));

  it("are one where they say the same within twenty milliseconds, that of a recording before others", () => {
    const found = merged(said("aa", 10, r1), said("aa", 10.015, { ...r2, id: "r2" }), said("aa", 10.004, file));
    expect(found).toMatchObject([
      {
        source: "recording ab",
        recording: { index: 3 },
        alsoOn: [
          { source: "receiver r1", carrierHz: 433_920_000 },
          { source: "receiver r2", carrierHz: 433_921_300 },
        ],
      },
    ]);
  });

  it("are two where one source heard both, where they say other things, or where time lies between", () => {
    expect(merged(said("aa", 10, r1), said("aa", 10.015, r1))).toHaveLength(2);
    expect(merged(said("aa", 10, r1), said("aa", 10.015, { ...r2, kpa: 0.5 }))).toHaveLength(2);
    expect(merged(said("aa", 10, r1), said("aa", 10.025, r2))).toHaveLength(2);
  });

  it("go by the receiver's clock where most that say the same lie as far apart", () => {
    const times = [10, 17, 21, 34];
    const both = times.flatMap((at, i) => [
      said("aa", at, { ...r1, kpa: i }),
      said("aa", at - 2.5, { ...file, id: `f${i}`, kpa: i }),
    ]);
    const more = said("aa", 37.5, { ...file, id: "more", kpa: 9 });
    const found = merged(...both, more);
    expect(found.map(({ atMs }) => atMs)).toEqual([10_000, 17_000, 21_000, 34_000, 40_000]);
    // Two in common prove nothing.
    expect(merged(...both.slice(0, 4))).toHaveLength(4);
  });
});

describe("carriers of several sources", () => {
  const on = (seconds: number, source: string, carrierHz: number, also: [string, number][] = []) =>
    said("aa", seconds, { source, carrierHz, alsoOn: also.map(([of, hz]) => ({ source: of, carrierHz: hz })) });

  it("two bodies are told apart by one source, and the other's telegrams fall to the nearer of them", () => {
    const heard = [
      on(1, "a", 433_900_000, [["b", 433_903_000]]),
      on(2, "a", 433_902_000, [["b", 433_905_000]]),
      on(3, "a", 433_900_000),
      on(4, "a", 433_902_000),
      on(5, "b", 433_903_000),
      on(6, "b", 433_905_000),
    ];
    const seconds = bodiesOf(heard, []).map((body) => body.said.map(({ atMs }) => atMs / 1000));
    expect(seconds).toEqual([
      [1, 3, 5],
      [2, 4, 6],
    ]);
  });

  it("a source that comes in later, with another reference, makes no carrier walk", () => {
    const heard = Array.from({ length: 20 }, (_, i) => on(i, i < 12 ? "a" : "b", i < 12 ? 433.92e6 : 433.923e6));
    const { walk, carrierHz } = radioFigures(heard, [], { answered: [] }, usualLot().fixture, null);
    expect([Math.round(walk!.hz), carrierHz]).toEqual([0, 433.92e6]);
  });
});
