import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { layoutDifferences } from "../../web/model/layoutDifference.ts";
import { chanceWords } from "../../web/model/workshop/chanceWords.ts";
import { emptyForm, fieldFrom, formOf, withField } from "../../web/model/workshop/fieldForm.ts";
import { likenessStretches, namedStretches, onesPath, rasterRows } from "../../web/model/workshop/frameRaster.ts";
import { stationOf } from "../../web/model/workshop/stations.ts";

const pilot = builtinLayouts.find(({ id }) => id === "pilot-car")!;

describe("naming bits", () => {
  it("makes every field of the house's layouts again out of its form", () => {
    let made = 0;
    for (const { bits, fields } of builtinLayouts) {
      for (const field of fields) {
        const { values: _values, plausible: _plausible, equals: _equals, ...plain } = field;
        if (plain.type === "constant" || plain.quantity === "acceleration") continue;
        if (plain.means !== undefined && plain.means !== "battery-low") continue;
        const again = fieldFrom(formOf(field), bits);
        expect(again.ok && again.field, `${field.name}`).toMatchObject({ ...plain, at: plain.at, bits: plain.bits });
        made++;
      }
    }
    expect(made).toBeGreaterThan(20);
  });

  it("says box by box what does not do", () => {
    const form = { ...emptyForm(70, 8), kind: "pressure", scale: "0", name: "<b>" } as const;
    const made = fieldFrom(form, 72);
    expect(made.ok ? [] : Object.keys(made.wrong).sort()).toEqual(["bits", "name", "scale"]);
    const half = fieldFrom({ ...emptyForm(0, 8), at: "1.5" }, 72);
    expect(half.ok ? "" : half.wrong.at).toBe("The first bit is a whole number from 0 to 71.");
    expect(fieldFrom({ ...emptyForm(0, 2), kind: "flag" }, 72).ok).toBe(false);
  });

  it("lets those give way that it lies over, and refuses a name that others have", () => {
    const named = [
      { name: "a", at: 0, bits: 8, type: "code" },
      { name: "b", at: 8, bits: 8, type: "code" },
      { name: "c", at: 16, bits: 8, type: "code" },
    ] as const;
    const names = (at: number, bits: number, name: string) =>
      withField(named, { name, at, bits, type: "code" }).map((one) => one.name);
    expect(names(6, 4, "d")).toEqual(["d", "c"]);
    const again = fieldFrom({ ...emptyForm(24, 4), name: "a" }, 72, named);
    expect(again.ok ? "" : again.wrong.name).toBe("a is the name of bits 0 to 7 already.");
    expect(fieldFrom({ ...emptyForm(2, 4), name: "a" }, 72, named).ok).toBe(true);
  });
});

describe("frames below each other", () => {
  it("stand sensor by sensor, and thinned where there are very many", () => {
    const telegram = (sender: number, bits: string, id: string) => ({
      ids: [id],
      atSeconds: 0,
      sender,
      bits,
      broken: 0,
      kPa: null,
      degC: null,
      values: {},
    });
    const few = [telegram(1, "f0", "a"), telegram(0, "0f", "b"), telegram(1, "ff", "c")];
    const { rows, left } = rasterRows({ telegrams: few, bitCount: 8 });
    expect([rows.map(({ key }) => key), left]).toEqual([["b", "a", "c"], 0]);
    const many = Array.from({ length: 100 }, (_, i) => telegram(i % 4, "f0", String(i)));
    expect(rasterRows({ telegrams: many, bitCount: 8 })).toMatchObject({ left: 66 });
  });

  it("have a box for each run of ones", () => {
    expect(onesPath(Uint8Array.from([1, 1, 0, 1, 0]), 0, 5, 10, 4, 7)).toBe("M0 4h20v7h-20zM30 4h10v7h-10z");
    expect(onesPath(Uint8Array.from([1, 1, 0, 1, 0]), 1, 2, 10, 4, 7)).toBe("M0 4h10v7h-10z");
  });

  it("have stretches that leave no bit out", () => {
    const bit = (likeness: "constant" | "check") => ({
      likeness,
      ones: 0,
      entropy: 0,
      flips: 0,
      tellsSender: 0,
      companion: null,
      companionBits: 0,
    });
    expect(
      likenessStretches([bit("constant"), bit("constant"), bit("check")]).map(({ at, bits }) => [at, bits]),
    ).toEqual([
      [0, 2],
      [2, 1],
    ]);
    const field = {
      field: pilot.fields[0]!,
      named: false,
      residual: null,
      points: 0,
      lnChance: null,
      constants: [],
      rivals: [],
    };
    const stretches = namedStretches({ fields: [field], checks: [], bitCount: 72 });
    expect(stretches.reduce((sum, { bits }) => sum + bits, 0)).toBe(72);
  });
});

describe("words of the workshop", () => {
  it.each([
    [0.5, "as likely as not"],
    [10, "1 in 1,000"],
    [20, "1 in 1 million"],
    [32, "1 in 10 to the power of 9"],
  ])("2^-%s is %s", (bits, words) => expect(chanceWords(bits)).toBe(words));

  it.each([
    ["?at=check", "check"],
    ["?at=elsewhere", "gather"],
    ["", "gather"],
  ])("%s is the station %s", (search, station) => expect(stationOf(search)).toBe(station));
});

describe("the difference of two versions", () => {
  it("is nothing between a layout and itself", () => expect(layoutDifferences(pilot, pilot)).toEqual([]));

  it("names in words what changed, came and went", () => {
    const [first, ...others] = pilot.fields;
    const changed = parseLayout({
      ...pilot,
      symbolRate: 9000,
      fields: others.map((field) => (field.quantity === "pressure" ? { ...field, scale: 7 } : field)),
    });
    if (!changed.ok) throw new Error(JSON.stringify(changed.complaints));
    const found = layoutDifferences(pilot, changed.layout);
    expect(found.map(({ what }) => what)).toEqual(["on air", `field ${first!.name}`, "field pressure"]);
    expect(found[1]).toMatchObject({ after: undefined });
    expect(found[2]?.after).toContain("× 7 kPa");
  });

  it("sees every key of a layout but its id", () => {
    const seen = new Set<string>();
    const variants: Record<string, unknown> = {
      title: "Other",
      notes: "Other",
      origin: { published: "own measurement: here" },
      carrierHz: [315e6],
      symbolRate: 9000,
      preamble: { symbols: "01", repeat: 4 },
      sync: { symbols: "1100" },
      whitening: { poly: "0x211", seed: "0x1ff" },
      repeats: { count: 9, gapSeconds: 0.2 },
      lineCode: "nrz",
    };
    for (const [key, value] of Object.entries(variants)) {
      const parsed = parseLayout({ ...pilot, [key]: value });
      if (!parsed.ok) throw new Error(`${key}: ${JSON.stringify(parsed.complaints)}`);
      if (layoutDifferences(pilot, parsed.layout).length > 0) seen.add(key);
    }
    expect([...seen]).toEqual(Object.keys(variants));
  });
});
