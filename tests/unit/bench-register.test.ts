import { describe, expect, it } from "vitest";
import { answersTo, bodiesOf, type SpecimenWake } from "../../server/bench/bodies.ts";
import type { Lot } from "../../server/bench/lot.ts";
import { register } from "../../server/bench/register.ts";
import type { Said } from "../../server/bench/said.ts";
import { said, specimenEntry, usualLot, wake } from "../support/said.ts";

function registered(heard: readonly Said[], wakes: readonly SpecimenWake[], lot: Partial<Lot> = {}) {
  const inTime = heard.toSorted((a, b) => a.atMs - b.atMs);
  return register(usualLot(lot), bodiesOf(inTime, wakes), wakes);
}

/** Who has which number, and by what. */
function numbers(...of: Parameters<typeof registered>) {
  return registered(...of).specimens.map(({ number, body, by }) => [number, body && body.identity + body.letter, by]);
}

describe("who a specimen is", () => {
  it("is who answered its wake", () => {
    const heard = [said("bb", 10.3), said("aa", 20.3), said("bb", 30)];
    expect(numbers(heard, [wake(1, 20), wake(2, 10)])).toEqual([
      [1, "aa", "wake"],
      [2, "bb", "wake"],
    ]);
  });

  it("is the loudest of those that came after its wake and have no number", () => {
    const heard = [said("far", 10.2, { levelDb: 12 }), said("near", 10.4, { levelDb: 40 }), said("far", 20.3)];
    expect(numbers(heard, [wake(1, 10), wake(2, 20)])).toEqual([
      [1, "near", "wake"],
      [2, "far", "wake"],
    ]);
  });

  it("is told by the order first heard where nobody woke anything", () => {
    expect(numbers([said("cc", 3), said("aa", 1), said("bb", 2), said("aa", 9)], [])).toEqual([
      [1, "aa", "order"],
      [2, "bb", "order"],
      [3, "cc", "order"],
    ]);
  });

  it("stays what it is for the others when a wake gives one of them another number", () => {
    const heard = ["aa", "bb", "cc", "dd"].map((identity, i) => said(identity, i));
    expect(numbers([...heard, said("aa", 20.2)], [wake(4, 20)], { sample: 4 })).toEqual([
      [1, "dd", "order"],
      [2, "bb", "order"],
      [3, "cc", "order"],
      [4, "aa", "wake"],
    ]);
  });

  it("is what was written down by hand, whatever wakes and order say", () => {
    const heard = [said("aa", 10.3), said("bb", 20.3), said("cc", 30)];
    const specimens = [specimenEntry(2, { identity: "AA", label: "left box", note: "scratched", leftOut: "dropped" })];
    const lot = { specimens };
    expect(numbers(heard, [wake(1, 10), wake(2, 20)], lot)).toEqual([
      [1, undefined, null],
      [2, "aa", "hand"],
      [3, "bb", "order"],
      [4, "cc", "order"],
    ]);
    const second = registered(heard, [], lot).specimens[1];
    expect(second).toMatchObject({ by: "hand", label: "left box", note: "scratched", leftOut: "dropped" });
    expect(second?.body?.identity).toBe("aa");
  });

  it("stays open for an identity that was written down and not heard yet", () => {
    expect(numbers([said("aa", 1)], [], { specimens: [specimenEntry(1, { identity: "ff" })] })).toEqual([
      [1, undefined, null],
      [2, "aa", "order"],
    ]);
    // Nor is it taken by who answers its wake.
    const lot = { specimens: [specimenEntry(1, { identity: "ff" })] };
    expect(numbers([said("aa", 10.3)], [wake(1, 10)], lot)).toEqual([
      [1, undefined, null],
      [2, "aa", "order"],
    ]);
  });
});

describe("a number that was woken without an answer", () => {
  it("is not given to one that was heard otherwise", () => {
    const heard = [said("aa", 10.3), said("bb", 60)];
    expect(numbers(heard, [wake(1, 10), wake(2, 20)])).toEqual([
      [1, "aa", "wake"],
      [2, undefined, null],
      [3, "bb", "order"],
    ]);
  });

  it("names the neighbour that answered in its place, until it answers itself", () => {
    const heard = [said("aa", 10.3), said("aa", 20.3)];
    const [first, second] = registered(heard, [wake(1, 10), wake(2, 20)]).specimens;
    expect(first?.suspectOf).toBeNull();
    expect(second).toMatchObject({ body: undefined, suspectOf: 1 });
    const again = registered([...heard, said("bb", 40.3)], [wake(1, 10), wake(2, 20), wake(2, 40)]).specimens[1];
    expect(again).toMatchObject({ by: "wake", suspectOf: null });
  });

  it("does not suspect a neighbour that only sent by itself, much later than others answer", () => {
    const heard = [said("aa", 10.2), said("bb", 20.2), said("aa", 35)];
    const { specimens } = registered(heard, [wake(1, 10), wake(2, 20), wake(3, 30)]);
    expect(specimens[2]).toMatchObject({ body: undefined, suspectOf: null });
  });
});

describe("wakes and answers", () => {
  it("a wake by hand has the telegrams before it only where none came after, for a hand taps late", () => {
    const heard = [said("aa", 9.6), said("aa", 12)];
    const ids = (wakes: SpecimenWake[], of = heard) => answersTo(wakes, of).map(({ all }) => all.map(({ id }) => id));
    expect(ids([wake(1, 10, "button")])).toEqual([["aa at 12"]]);
    expect(ids([wake(1, 10, "button")], [said("aa", 9.6)])).toEqual([["aa at 9.6"]]);
    expect(ids([wake(1, 10)], [said("aa", 9.6)])).toEqual([[]]);
    expect(ids([wake(1, 10, "button")], [said("aa", 8.9)])).toEqual([[]]);
  });

  it("an answer belongs to the last wake before it, and to none after fifteen seconds", () => {
    const heard = [said("aa", 10.5), said("bb", 12.5), said("bb", 26.9), said("bb", 27)];
    const own = answersTo([wake(2, 12), wake(1, 10)], heard).map(({ wake: { number }, all }) => [number, all.length]);
    expect(own).toEqual([
      [1, 1],
      [2, 2],
    ]);
  });

  it("tell when the next wake cut the time for answers short", () => {
    const heard = [said("aa", 10.3), said("bb", 14.3), said("aa", 40.3)];
    const { specimens } = registered(heard, [wake(1, 10), wake(2, 14), wake(1, 40)]);
    expect(specimens.map(({ answered }) => answered.map(({ cutMs }) => cutMs))).toEqual([[14_000, null], [null]]);
  });

  it("are kept for each specimen, so that every wake can be timed", () => {
    const heard = [said("aa", 10.3), said("aa", 10.6), said("bb", 11), said("aa", 50.4)];
    const [first] = registered(heard, [wake(1, 10), wake(1, 50)]).specimens;
    expect(first?.wakes).toHaveLength(2);
    expect(first?.answered.map(({ atMs }) => atMs)).toEqual([[10_300, 10_600], [50_400]]);
  });
});

describe("who is no specimen", () => {
  it("was put aside, and takes no number", () => {
    const { specimens, others } = registered([said("aa", 1), said("bb", 2)], [], { aside: ["AA"] });
    expect(specimens.map(({ body }) => body?.identity)).toEqual(["bb"]);
    expect(others).toMatchObject([{ body: { identity: "aa" }, aside: true }]);
  });

  it("is one more than were drawn", () => {
    const { specimens, others } = registered([said("aa", 1), said("bb", 2), said("cc", 3)], [], { sample: 2 });
    expect(specimens.map(({ body }) => body?.identity)).toEqual(["aa", "bb"]);
    expect(others).toMatchObject([{ body: { identity: "cc" }, aside: false }]);
  });

  it("leaves a row for everyone that was drawn and not heard yet", () => {
    expect(numbers([said("aa", 1)], [], { sample: 3 })).toEqual([
      [1, "aa", "order"],
      [2, undefined, null],
      [3, undefined, null],
    ]);
    expect(registered([], []).specimens).toEqual([]);
  });
});

describe("one identity", () => {
  const LOW = { carrierHz: 433_900_000 };
  const HIGH = { carrierHz: 433_930_000 };

  it("on two carriers in turn is two specimens", () => {
    const heard = [said("aa", 1, LOW), said("aa", 2, HIGH), said("aa", 3, LOW), said("aa", 4, HIGH)];
    expect(numbers(heard, [])).toEqual([
      [1, "aaa", "order"],
      [2, "aab", "order"],
    ]);
    const { specimens } = registered(heard, []);
    expect(specimens.map(({ body }) => body?.said.map(({ carrierHz }) => carrierHz))).toEqual([
      [LOW.carrierHz, LOW.carrierHz],
      [HIGH.carrierHz, HIGH.carrierHz],
    ]);
  });

  it("that answers two wakes on two carriers is two specimens, each with its wake", () => {
    const heard = [said("aa", 10.3, HIGH), said("aa", 20.3, LOW)];
    expect(numbers(heard, [wake(1, 10), wake(2, 20)])).toEqual([
      [1, "aaa", "wake"],
      [2, "aab", "wake"],
    ]);
  });

  it("whose bodies were written down by their letters keeps to them", () => {
    const heard = [said("aa", 1, LOW), said("aa", 2, HIGH), said("aa", 3, LOW)];
    const specimens = [
      specimenEntry(1, { identity: "aa", body: "b" }),
      specimenEntry(2, { identity: "aa", body: "a" }),
    ];
    expect(numbers(heard, [], { specimens })).toEqual([
      [1, "aab", "hand"],
      [2, "aaa", "hand"],
    ]);
  });

  it("written down for two numbers on one carrier is what answered the wakes of each, as far as they tell", () => {
    const heard = [said("aa", 10.3), said("bb", 20.3), said("aa", 30.3), said("aa", 30.6), said("aa", 60)];
    const specimens = [specimenEntry(1, { identity: "aa" }), specimenEntry(3, { identity: "AA" })];
    const wakes = [wake(1, 10), wake(2, 20), wake(3, 30)];
    const seconds = (of: readonly SpecimenWake[], all = heard) =>
      registered(all, of, { specimens }).specimens.map(({ identity, body }) => [
        identity,
        body?.said.map(({ atMs }) => atMs / 1000),
      ]);
    expect(seconds(wakes)).toEqual([
      ["aa", [10.3, 60]],
      ["bb", [20.3]],
      ["aa", [30.3, 30.6]],
    ]);
    expect(seconds([])).toEqual([
      ["aa", [10.3, 30.3, 30.6, 60]],
      ["bb", [20.3]],
      ["aa", undefined],
    ]);
    expect(seconds([wake(3, 30)], [said("aa", 30.3)])).toEqual([
      ["aa", undefined],
      [null, undefined],
      ["aa", [30.3]],
    ]);
    expect(registered(heard, wakes, { specimens }).others).toEqual([]);
  });

  it("whose carrier walks is one specimen", () => {
    const heard = Array.from({ length: 30 }, (_, i) => said("aa", i, { carrierHz: 433_920_000 + 700 * i }));
    expect(numbers(heard, [])).toEqual([[1, "aa", "order"]]);
    const jump = [said("aa", 1, LOW), said("aa", 2, LOW), said("aa", 3, HIGH), said("aa", 4, HIGH)];
    expect(numbers(jump, [])).toEqual([[1, "aa", "order"]]);
  });

  it("whose carriers lie nearer than they scatter is one specimen", () => {
    const heard = [0, 2000, 400, 2400, 800, 2800].map((hz, i) => said("aa", i, { carrierHz: 433_920_000 + hz }));
    expect(numbers(heard, [])).toEqual([[1, "aa", "order"]]);
    const near = [0, 900, 0, 900].map((hz, i) => said("aa", i, { carrierHz: 433_920_000 + hz }));
    expect(numbers(near, [])).toEqual([[1, "aa", "order"]]);
  });
});
