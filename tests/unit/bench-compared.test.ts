import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { besideGolden, type SpecimenOf } from "../../server/bench/beside.ts";
import { compareLots } from "../../server/bench/compareLots.ts";
import type { PotFill } from "../../server/bench/fills.ts";
import type { Lot } from "../../server/bench/lot.ts";
import { lotCautions } from "../../server/bench/lotCautions.ts";
import type { Paired } from "../../server/bench/pressure.ts";
import { temperatureEffect } from "../../server/bench/temperatureEffect.ts";
import { type WorkedLot, workOut } from "../../server/bench/workOut.ts";
import { drawnLot, type LotWishes } from "../support/drawn-lot.ts";
import { said } from "../support/said.ts";

const WISHES: LotWishes = {
  layout: builtinLayouts.find(({ id }) => id === "ice-lorry")!,
  specimens: 6,
  kinds: {},
  errors: { offsetKpa: 0.6, gain: 0.003, hysteresisKpa: 0 },
  limitKpa: 5,
  scatterKpa: 0.6,
  gauge: { stated: "certificate", errorKpa: 1, resolutionKpa: 0.1, drawn: "once a lot" },
  pot: { rampSeconds: 12, coolingKpa: 3, coolingSeconds: 8, stillSeconds: 60 },
  readings: 4,
  carrier: { scatterHz: 100, receiverPpm: 2.5 },
  on: "recording",
};
const { lot, heard } = drawnLot(WISHES, 7);
const named: Lot = { ...lot, gauge: { ...lot.gauge, name: "Gauge 4" } };

/** The same telegrams in a lot with other entries. */
function again(change: Partial<Lot>): { readonly lot: Lot; readonly worked: WorkedLot } {
  const changed = { ...named, ...change };
  return { lot: changed, worked: workOut(changed, heard) };
}

const specimenOf = (lotId: string, one: ReturnType<typeof again>, number: number): SpecimenOf => ({
  lotId,
  lot: one.lot,
  specimen: one.worked.specimens[number - 1]!,
});

describe("two lots", () => {
  it("are held against each other by their carriers as they are, whatever each calls nominal", () => {
    const none = again({ limits: { ...named.limits, carrierHz: null } });
    const high = again({ limits: { ...named.limits, carrierHz: 433_950_000, carrierOff: 8000 } });
    const carrier = compareLots(none.worked, high.worked).find(({ of }) => of === "Carrier")!;
    expect(carrier.here.middle).toBeCloseTo(carrier.other.middle!, 3);
    expect(Math.abs(carrier.here.middle! - 433.92e6)).toBeLessThan(50_000);
  });

  const cautions = (change: Partial<Lot>, base: Partial<Lot> = {}) =>
    // Both are the same sensors, which is said first.
    lotCautions({ id: "A", ...again(base) }, { id: "B", ...again(change) }).slice(1, -1);

  it.each<readonly [string, Partial<Lot>, RegExp]>([
    ["limits", { limits: { ...named.limits, pressureKpa: 9 } }, /^The limits are not the same/],
    ["rule", { rule: { kind: "simple" } }, /^The rules of decision are not the same/],
    ["gauge", { gauge: { ...named.gauge, name: "Gauge 5" } }, /^The gauges are two/],
    ["unnamed gauge", { gauge: { ...named.gauge, name: " " } }, /^A gauge has no name/],
    ["set points", { setPoints: named.setPoints.slice(1) }, /^The set points are not the same/],
  ])("that differ by their %s do so with a caution", (_, change, says) => {
    expect(cautions(change)).toEqual([expect.stringMatching(says)]);
    expect(cautions({})).toEqual([]);
  });

  it("that have sensors in common are no two samples", () => {
    const all = lotCautions({ id: "A", ...again({}) }, { id: "B", ...again({}) });
    expect(all[0]).toMatch(/^\d+ sensors are in both lots: they are no two samples/);
  });

  it("of which neither names its gauge may have two", () => {
    const gauge = { ...named.gauge, name: "" };
    expect(cautions({ gauge }, { gauge })).toEqual([expect.stringMatching(/^A gauge has no name/)]);
  });

  it("that speak other layouts, or are one and the same, say so", () => {
    const here = { id: "A", ...again({}) };
    const other = drawnLot({ ...WISHES, layout: builtinLayouts.find(({ id }) => id === "pilot-car")! }, 3);
    const all = lotCautions(here, { id: "B", lot: named, worked: workOut(other.lot, other.heard) });
    expect(all.find((says) => says.startsWith("They speak"))).toBe(
      "They speak different layouts, ice-lorry and pilot-car: it is another part, with steps of its own.",
    );
    expect(lotCautions(here, here)).toEqual(["It is one lot, held against itself: nothing can differ."]);
  });
});

describe("a golden specimen of another lot", () => {
  const here = again({});

  it("is held against by pressure and way, not by the place of the set point", () => {
    const later = again({ setPoints: [{ kpa: 20, way: "up" }, ...named.setPoints] });
    const rows = besideGolden(specimenOf("A", here, 2), specimenOf("B", later, 2));
    const errors = rows.filter(({ of }) => of.startsWith("Error at"));
    expect(errors).toHaveLength(named.setPoints.length);
    for (const one of errors) expect(one.golden).toBeCloseTo(one.here!, 6); // the same telegrams
    const upAlone = again({ setPoints: named.setPoints.filter(({ way }) => way === "up") });
    for (const { of, golden } of besideGolden(specimenOf("A", here, 2), specimenOf("B", upAlone, 2))) {
      if (of.endsWith("down")) expect(golden).toBeNull();
    }
  });

  it("is held against by its carrier as it is", () => {
    const off = again({ limits: { ...named.limits, carrierHz: 433_950_000, carrierOff: 8000 } });
    const carrier = besideGolden(specimenOf("A", here, 2), specimenOf("B", off, 2)).find(({ of }) => of === "Carrier");
    expect(carrier).toMatchObject({ differs: false });
    expect(carrier!.here).toBeCloseTo(carrier!.golden!, 3);
  });

  it("shares what one gauge errs, and nothing of two or of one without a name", () => {
    const allowed = (change: Partial<Lot>, id = "B") => {
      const [first] = besideGolden(specimenOf("A", here, 2), specimenOf(id, again(change), 3));
      return Number(/together \((\S+) kPa\)/.exec(first!.says)![1]);
    };
    const two = allowed({ gauge: { ...named.gauge, name: "Gauge 5" } });
    // Each has its gauge's 1 kPa, k = 2, widened to 95 %.
    expect(two).toBeGreaterThan(1.3);
    expect(allowed({})).toBeLessThan(Math.sqrt(two ** 2 - 1.7));
    expect(allowed({ gauge: { ...named.gauge, name: "" } })).toBe(two);
    const unnamed = again({ gauge: { ...named.gauge, name: "" } });
    const [first] = besideGolden(specimenOf("A", unnamed, 2), specimenOf("B", unnamed, 3));
    expect(first!.says).toContain(`together (${two.toFixed(1)} kPa)`);
    expect(allowed({}, "A")).toBeLessThanOrEqual(allowed({}));
  });

  it("is not said to differ where nobody entered how good the gauge is", () => {
    const unsure = again({ gauge: { ...named.gauge, errorKpa: null } });
    const [first] = besideGolden(specimenOf("A", unsure, 2), specimenOf("B", unsure, 3));
    expect(first).toMatchObject({ differs: false, says: expect.stringMatching(/nobody entered how good/) });
  });
});

describe("the effect of temperature", () => {
  /** Fills with a few readings each, of pressure, temperature and error. */
  const paired = (fills: readonly (readonly [gaugeKpa: number, temperatureC: number, errorKpa: number])[]) =>
    fills.flatMap(([gaugeKpa, temperatureC, errorKpa], f) => {
      const fill = { id: `f${f}` } as PotFill;
      return [-0.2, 0, 0.2].map((scatter, i): Paired => {
        const kpa = gaugeKpa + errorKpa + scatter;
        return { said: said("aa", 10 * f + i, { kpa, temperatureC }), fill, kpa, gaugeKpa };
      });
    });

  it("is told apart from an error that grows with the pressure", () => {
    const errorAt = (gaugeKpa: number, temperatureC: number) => 0.01 * gaugeKpa + 0.05 * (temperatureC - 20);
    const places = [
      [100, 20],
      [300, 25],
      [200, 40],
      [100, 45],
      [300, 42],
      [200, 18],
    ] as const;
    const { kpaPerC, expanded, says } = temperatureEffect(
      paired(places.map(([kpa, warm], i) => [kpa, warm, errorAt(kpa, warm) + (i % 2 === 0 ? 0.02 : -0.02)])),
    );
    expect(Math.abs(kpaPerC! - 0.05)).toBeLessThan(expanded!);
    const exact = temperatureEffect(paired(places.map(([kpa, warm]) => [kpa, warm, errorAt(kpa, warm)])));
    expect(exact.kpaPerC).toBeCloseTo(0.05, 9);
    expect(says).toMatch(
      /^The error goes with the temperature: 0\.0\d\d ± 0\.00\d kPa per °C over 27 °C, by 6 fills\./,
    );
  });

  it("is not said of an error that goes with the pressure alone, where both rise together", () => {
    const rising = paired([
      [100, 20, 1],
      [150, 25, 1.5],
      [200, 31, 2],
      [300, 40, 3],
    ]);
    expect(temperatureEffect(rising)).toEqual({
      kpaPerC: null,
      expanded: null,
      says: expect.stringMatching(/^It cannot be told apart from pressure: both go together \(correlation [01]\./),
    });
  });

  it("takes four fills, however many readings each has, and ten degrees", () => {
    const three = paired([
      [200, 10, 1],
      [200, 20, 2],
      [200, 30, 3],
    ]);
    expect(temperatureEffect(three).says).toBe(
      "It cannot be told apart from pressure: that takes 4 fills, and there are 3.",
    );
    const cool = paired([200, 200, 200, 200].map((kpa, i) => [kpa, 20 + 2 * i, 1] as const));
    expect(temperatureEffect(cool).says).toMatch(/^Not tested: from fill to fill its temperature moved by 6\.0 °C/);
    const one = paired([200, 200, 200, 200].map((kpa, i) => [kpa, 10 * i, i + (i % 2) / 10] as const));
    expect(temperatureEffect(one).kpaPerC).toBeCloseTo(0.1, 2);
    expect(temperatureEffect([]).kpaPerC).toBeNull();
  });
});
