import { describe, expect, it } from "vitest";
import { emptyJob, emptyWheel } from "../../server/jobs/jobCard.ts";
import { sideOf } from "../../server/jobs/nearby.ts";
import { burstsAtWakes, type WakeMark, walkOf, withWalk } from "../../server/jobs/walk.ts";
import type { StoredTelegram } from "../../server/store/store.ts";
import { at, burstRecord, telegram } from "../support/store-data.ts";

const wheels = ["left front", "right front", "right rear"].map((position) => emptyWheel(position));
const wake = (position: string, second: number): WakeMark => ({ position, at: at(second), by: "button" });
let number = 0;
function heard(identity: string, second: number, snrDb: number | null): StoredTelegram {
  const stored = telegram(`t${++number}`, { identity, at: at(second) });
  return { ...stored, telegram: { ...stored.telegram, snrDb } };
}

describe("a walk round the car", () => {
  it("gives each wheel the sensor that answered its wake", () => {
    const walk = walkOf(
      wheels,
      [wake("left front", 10), wake("right front", 30), wake("right rear", 50)],
      [heard("aa", 12, 30), heard("bb", 33, 25), heard("aa", 40, 10)],
    );
    expect([...walk.identityAt]).toEqual([
      ["left front", "aa"],
      ["right front", "bb"],
    ]);
    expect(walk.answers.map(({ because }) => because)).toEqual([
      "aa answered this wake.",
      "bb answered this wake, the loudest of 2.",
      "No answer to this wake.",
    ]);
    const card = { ...emptyJob(), wheels: [emptyWheel("left front"), emptyWheel("right front", "cc")] };
    expect(withWalk(card, walk).wheels.map(({ identity }) => identity)).toEqual(["aa", "cc"]);
  });

  it("takes the loudest of those that came, and none where two are about as loud", () => {
    const loud = walkOf(wheels, [wake("left front", 10)], [heard("aa", 11, 18), heard("bb", 12, 26)]);
    expect(loud.answers[0]).toMatchObject({ identity: "bb", because: "bb answered this wake, the loudest of 2." });
    const alike = walkOf(wheels, [wake("left front", 10)], [heard("aa", 11, 25), heard("bb", 12, 26)]);
    expect(alike.answers[0]?.identity).toBeNull();
    expect(alike.answers[0]?.because).toContain("bb and aa answered about as loud");
    const told = walkOf(wheels, [wake("left front", 10)], [heard("aa", 11, null), heard("bb", 12, null)]);
    expect(told.answers[0]?.identity).toBeNull();
  });

  it("explains an answer of a sensor that is on another wheel, by hand or by an earlier wake", () => {
    const byWake = walkOf(
      wheels,
      [wake("left front", 10), wake("right front", 30)],
      [heard("aa", 11, 30), heard("aa", 31, 30)],
    );
    expect(byWake.answers[1]?.identity).toBeNull();
    expect(byWake.answers[1]?.because).toContain("aa answered, which is on the left front already");
    const byHand = walkOf([emptyWheel("spare", "AA")], [wake("left front", 10)], [heard("aa", 11, 30)]);
    expect(byHand.answers[0]?.because).toContain("on the spare already");
  });

  it("hears the next one where a known neighbour is louder", () => {
    const wheelsKnown = [emptyWheel("left front", "aa"), emptyWheel("right front")];
    const walk = walkOf(wheelsKnown, [wake("right front", 10)], [heard("aa", 11, 40), heard("bb", 12, 20)]);
    expect(walk.identityAt.get("right front")).toBe("bb");
  });

  it("says where another sensor answered than the one that is on the wheel by hand", () => {
    const known = [emptyWheel("left front", "aa"), emptyWheel("right front", "bb")];
    const walk = walkOf(
      known,
      [wake("left front", 10), wake("right front", 30)],
      [heard("cc", 11, 20), heard("bb", 31, 20)],
    );
    expect(walk.answers.map(({ outcome }) => outcome)).toEqual(["another", "itself"]);
    expect(walk.answers[0]?.because).toContain("cc answered, not aa of this wheel");
    expect(walk.identityAt.size).toBe(0);
  });

  it("may wake a wheel again, and the newest answer counts", () => {
    const walk = walkOf(
      wheels,
      [wake("left front", 10), wake("left front", 30)],
      [heard("aa", 11, 30), heard("bb", 31, 30)],
    );
    expect(walk.identityAt.get("left front")).toBe("bb");
  });

  it("keeps a wheel's own sensor where it answers again beside a louder one", () => {
    const walk = walkOf(
      wheels,
      [wake("left front", 10), wake("left front", 30)],
      [heard("aa", 11, 20), heard("aa", 31, 20), heard("bb", 31, 40)],
    );
    expect(walk.identityAt.get("left front")).toBe("aa");
  });

  it("gives a new sensor nothing that answered before it went in", () => {
    const replaced = { oldIdentity: "aa", blank: true, copied: false, at: at(20) };
    const [first = emptyWheel("left front"), ...rest] = wheels;
    const walk = walkOf([{ ...first, replaced }, ...rest], [wake("left front", 10)], [heard("aa", 11, 30)]);
    expect(walk.answers).toEqual([]);
    expect(walk.identityAt.size).toBe(0);
  });

  it("takes an answer that came just before the tap where none came after it, but not one of the wheel before", () => {
    const late = walkOf(wheels, [wake("left front", 20)], [{ ...heard("aa", 19, 30) }]);
    expect(late.identityAt.get("left front")).toBe("aa");
    const quick = walkOf(wheels, [wake("left front", 20), wake("right front", 22)], [heard("aa", 21, 30)]);
    expect([...quick.identityAt]).toEqual([["left front", "aa"]]);
    expect(quick.answers[1]?.because).toBe("No answer to this wake.");
  });

  it("ties bursts that no layout reads to the wheel whose wake they followed", () => {
    const burst = (second: number) => ({ at: at(second), burst: burstRecord(second) });
    const found = burstsAtWakes(
      [wake("left front", 10), wake("right front", 30), wake("left front", 50)],
      [burst(5), burst(12), burst(31), burst(33), burst(51), burst(70)],
    );
    expect(found.get("left front")).toEqual([burst(51)]);
    expect(found.get("right front")).toEqual([burst(31), burst(33)]);
  });

  it("takes no answer that came long before or after", () => {
    const walk = walkOf(wheels, [wake("left front", 20)], [heard("aa", 15, 30), heard("bb", 36, 30)]);
    expect(walk.identityAt.size).toBe(0);
  });
});

describe("a sensor that no wheel has", () => {
  const stranger = { identity: "dd", carrierHz: 433_920_000, snrDb: 20 };
  const around = {
    ownSnrDb: [22, 30],
    onOtherCards: new Map<string, string>(),
    heardBefore: new Set<string>(),
    emptyWheels: 1,
    moved: [],
  };

  it("is this car's where it is as loud and a wheel waits for one", () => {
    expect(sideOf(stranger, around).side).toBe("this car");
  });

  it.each([
    ["8 dB weaker than the weakest of this car", { ...stranger, snrDb: 14 }, around],
    ["on job 7K3F today", stranger, { ...around, onOtherCards: new Map([["dd", "7K3F"]]) }],
    ["heard before this visit listened", stranger, { ...around, heardBefore: new Set(["dd"]) }],
    ["every wheel of this car has a sensor", stranger, { ...around, emptyWheels: 0 }],
  ])("is a neighbour's: %s", (because, one, all) => {
    expect(sideOf(one, all)).toEqual({ side: "nearby", because });
  });

  it("is where a person put it, whatever else is known", () => {
    const moved = [{ identity: "DD", to: "this car" as const }];
    expect(sideOf({ ...stranger, snrDb: 1 }, { ...around, moved }).side).toBe("this car");
  });
});
