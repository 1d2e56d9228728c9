import { describe, expect, it } from "vitest";
import { acceptanceOf, type Counts } from "../../server/bench/acceptanceOf.ts";
import { type Common, flagsOf } from "../../server/bench/flags.ts";
import type { Lot } from "../../server/bench/lot.ts";
import { lotView } from "../../server/bench/lotView.ts";
import { radioFigures } from "../../server/bench/radio.ts";
import type { Registered } from "../../server/bench/register.ts";
import type { Said } from "../../server/bench/said.ts";
import { said, usualLot } from "../support/said.ts";

const COMMON: Common = { carrierHz: null, layout: null, walks: new Map(), levels: new Map() };

interface Flagged {
  readonly heard?: readonly Said[];
  readonly specimen?: Partial<Registered>;
  readonly limits?: Partial<Lot["limits"]>;
  readonly twins?: readonly number[];
  readonly common?: Partial<Common>;
  readonly earlier?: string;
}

function flags({ heard = [said("aa", 1)], specimen, limits, twins = [], common, earlier }: Flagged) {
  const usual = usualLot();
  const lot = { ...usual, limits: { ...usual.limits, ...limits } };
  const who: Registered = {
    number: 1,
    body: { identity: "aa", letter: "", said: heard },
    identity: "aa",
    by: "order",
    label: "",
    note: "",
    leftOut: "",
    wakes: [],
    answered: [],
    suspectOf: null,
    ...specimen,
  };
  const radio = radioFigures(heard, [], who, lot.fixture, null);
  return flagsOf(lot, who, who.body && radio, twins, { ...COMMON, ...common }, () => earlier);
}

const kinds = (of: Flagged) => flags(of).map(({ kind }) => kind);
const byNumber = (...values: number[]) => new Map(values.map((value, i) => [i + 1, value]));

describe("what is odd about a specimen", () => {
  it("is nothing for one like the others", () => {
    expect(kinds({ common: { carrierHz: 433.92e6, layout: "ice-lorry" } })).toEqual([]);
  });

  it("is its identity, where another has it, where it was in a lot before, or where it has another form", () => {
    expect(flags({ twins: [4, 7] })).toEqual([{ kind: "duplicate", says: "aa is also that of specimen 4 and 7." }]);
    expect(flags({ earlier: "May (L-2)" })).toEqual([
      { kind: "earlier lot", says: "aa was in lot May (L-2) already." },
    ]);
    expect(kinds({ limits: { identity: "5e??" } })).toEqual(["format"]);
  });

  it("is its identity written down for another, though it was not heard apart from that one", () => {
    expect(flags({ heard: [], specimen: { body: undefined }, twins: [1] })).toEqual([
      { kind: "duplicate", says: "aa is also that of specimen 1." },
    ]);
  });

  it("is another's answer to its wake, though it said nothing itself", () => {
    const [only] = flags({ heard: [], specimen: { body: undefined, suspectOf: 3 } });
    expect(only).toMatchObject({ kind: "duplicate" });
    expect(only?.says).toContain("Take 3 away and wake this one again.");
  });

  it("is its carrier in another band, against the limit's or else the others'", () => {
    expect(kinds({ common: { carrierHz: 315e6 } })).toEqual(["carrier"]);
    expect(kinds({ common: { carrierHz: 315e6 }, limits: { carrierHz: 433.9e6 } })).toEqual([]);
    expect(kinds({ common: { carrierHz: 433.85e6 } })).toEqual([]);
  });

  it("is another layout than was asked for, or else than most others speak", () => {
    expect(kinds({ common: { layout: "net-loft-van" } })).toEqual(["layout"]);
    expect(kinds({ common: { layout: "net-loft-van" }, limits: { layout: "ice-lorry" } })).toEqual([]);
  });

  it("is a low battery", () => {
    expect(kinds({ heard: [said("aa", 1), said("aa", 2, { battery: "low" })] })).toEqual(["battery"]);
  });

  it("is a carrier that walks while the others' stand", () => {
    const heard = Array.from({ length: 20 }, (_, i) => said("aa", i, { carrierHz: 433.92e6 + 400 * i }));
    expect(kinds({ heard, common: { walks: byNumber(7600, 100, -80, 30, 60, -20) } })).toEqual(["carrier walks"]);
    // All walk alike: it is the receiver's reference that warms.
    expect(kinds({ heard, common: { walks: byNumber(7600, 7500, 7700, 7550, 7650, 7400) } })).toEqual([]);
    expect(kinds({ heard, common: { walks: byNumber(900, 10, -8, 3, 6, -2) } })).toEqual([]);
  });

  it("among few specimens is a carrier only that walks far", () => {
    const going = (hz: number) => Array.from({ length: 20 }, (_, i) => said("aa", i, { carrierHz: 433.92e6 + hz * i }));
    expect(kinds({ heard: going(400), common: { walks: byNumber(7600, 0) } })).toEqual(["carrier walks"]);
    expect(kinds({ heard: going(200), common: { walks: byNumber(3800, 0) } })).toEqual([]);
  });

  it("is a level far from the others'", () => {
    const [only] = flags({ common: { levels: byNumber(20, 40, 41, 39, 40.5, 39.5) } });
    expect(only).toEqual({ kind: "level", says: "It comes in 20 dB weaker than the middle of the lot." });
    expect(kinds({ common: { levels: byNumber(20, 40, 41) } })).toEqual([]);
  });
});

describe("the lot as a whole", () => {
  const view = (...errors: number[]) => lotView(errors.map((errorKpa, i) => ({ number: i + 1, errorKpa })));

  it("tells nothing of none, and of fewer than five only their middle", () => {
    expect(view()).toMatchObject({ count: 0, medianKpa: null, tolerance: null, odd: [] });
    expect(view(1, 2, 30)).toMatchObject({ count: 3, medianKpa: 2, tolerance: null, odd: [] });
  });

  it("names the odd one by robust z and by Grubbs, and then doubts its own tolerance interval", () => {
    const { odd, tolerance } = view(0.1, -0.2, 0.3, 0, -0.1, 0.2, 9);
    expect(odd).toMatchObject([{ number: 7, by: "robust z and Grubbs" }]);
    expect(tolerance?.says).toContain("take it as a rough figure");
    expect(view(0.1, -0.2, 0.3, 0, -0.1, 0.2).tolerance?.says).not.toContain("rough");
  });

  it("has no scale for robust z where half of them agree exactly, but Grubbs still sees the odd one", () => {
    const { odd, says } = view(1, 1, 1, 1, 1, 1, 6);
    expect(odd).toMatchObject([{ number: 7, by: "Grubbs" }]);
    expect(says.at(-1)).toContain("robust z has no scale");
  });

  it("of specimens all alike has an interval without any width", () => {
    expect(view(1, 1, 1, 1, 1)).toMatchObject({ spreadKpa: 0, odd: [], tolerance: { fromKpa: 1, toKpa: 1 } });
  });

  it("holds 95 % of all sensors with 95 % confidence by the factor of its count", () => {
    // ISO 16269-6, two sides, 95 % and 95 %, n = 10: printed 3.39 READ, the rest COMPUTED.
    const errors = [0.3, -0.5, 0.1, 0.8, -0.2, 0.4, -0.7, 0, 0.2, -0.4];
    expect(view(...errors).tolerance?.factor).toBeCloseTo(3.3934, 4);
  });
});

describe("the lot by its sample", () => {
  const verdict = (counts: Partial<Counts>, accept: number, isFinished = true) => {
    const full = { within: 0, outside: 0, cannotTell: 0, leftOut: 0, ...counts };
    return acceptanceOf(usualLot({ plan: { ...usualLot().plan, accept } }), full, isFinished).verdict;
  };

  it("is accepted with as few outside as the plan allows, and rejected with one more", () => {
    expect(verdict({ within: 19, outside: 1 }, 1)).toBe("accept");
    expect(verdict({ within: 18, outside: 2 }, 1)).toBe("reject");
  });

  it("counts one that cannot be told against both", () => {
    expect(verdict({ within: 18, outside: 1, cannotTell: 1 }, 1)).toBe("cannot tell");
    expect(verdict({ within: 19, cannotTell: 1 }, 1)).toBe("accept");
    expect(verdict({ within: 19, cannotTell: 1 }, 0)).toBe("cannot tell");
    expect(verdict({ within: 10, outside: 2, cannotTell: 8 }, 1)).toBe("reject");
  });

  it("may be rejected before the end, but not accepted", () => {
    expect(verdict({ within: 3, outside: 1 }, 0, false)).toBe("reject");
    expect(verdict({ within: 20 }, 0, false)).toBe("not finished");
    expect(verdict({ leftOut: 20 }, 0)).toBe("not finished");
  });

  it("does not count those that are left out, and tells the risks of the sample that is left", () => {
    const { plan } = usualLot();
    const of = (within: number, quantity: number | null) =>
      acceptanceOf(usualLot({ plan, quantity }), { within, outside: 0, cannotTell: 0, leftOut: 3 }, true);
    const found = of(20, null);
    expect(found).toMatchObject({ sample: 20, lotSize: null });
    // Zero of twenty: 1 % bad passes with 0.99^20, 10 % with 0.9^20.
    expect(found.producerRisk).toBeCloseTo(1 - 0.99 ** 20, 9);
    expect(found.consumerRisk).toBeCloseTo(0.9 ** 20, 9);
    // Of a delivery of 20 all are here; one smaller than the sample was mistyped.
    expect(of(20, 20).consumerRisk).toBe(0);
    expect(of(20, 7).lotSize).toBeNull();
  });

  it("decides nothing, and has no curve, where the plan accepts whatever is found", () => {
    const few = acceptanceOf(
      usualLot({ plan: { ...usualLot().plan, accept: 5 } }),
      { within: 3, outside: 0, cannotTell: 0, leftOut: 0 },
      true,
    );
    expect(few).toMatchObject({ verdict: "cannot tell", curve: [], consumerRisk: 1 });
    expect(few.because).toContain("decides nothing");
  });
});
