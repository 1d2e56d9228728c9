import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { framesOf } from "../../web/model/recording/frames.ts";
import {
  hitCount,
  hitTicks,
  type SearchedNote,
  type SearchIn,
  search,
  searchedBits,
  stepped,
} from "../../web/model/recording/search.ts";
import { conditionOf } from "../../web/model/recording/searchFields.ts";
import { burst, drawnFrames, rungs, telegram } from "../support/recording-bodies.ts";

const layoutOf = (id: string) => builtinLayouts.find((layout) => layout.id === id);
const units = { pressure: "kPa", temperature: "degC" } as const;

/** A pressure as the decoder tells it, absolute, with the gauge pressure at sea level. */
const pressure = (kpa: number) => ({
  raw: kpa / 2.5,
  value: kpa,
  unit: "kPa",
  plausible: true,
  kPaGauge: kpa - 101.325,
  ambientKpa: 101.325,
});
const plain = (value: number | string | boolean | null, unit: string | null = null) => ({
  raw: 0,
  value,
  unit,
  plausible: true,
});

/** Four bursts: two telegrams of pilot-car, one that missed its check, one that is too short. */
const frames = framesOf(
  [
    burst(0, 0.1),
    burst(1, 0.5),
    burst(2, 0.9, {
      outcome: "check",
      symbols: "a5a5",
      symbolCount: 16,
      rungs: rungs("check").map((rung) =>
        rung.passed === false ? { ...rung, because: "Check says 5a, computed 1b." } : rung,
      ),
    }),
    burst(3, 1.4, {
      outcome: "length",
      clipped: true,
      rungs: rungs("length").map((rung) =>
        rung.passed === false ? { ...rung, because: "71 bits; the last bit is cut off." } : rung,
      ),
    }),
  ],
  [
    telegram([0], "3a51c0de", {
      bits: "3a51c0de21854a00cd",
      bitCount: 72,
      fields: {
        sensor: plain("3a51c0de"),
        mode: plain("woken by field"),
        batteryLow: plain(false),
        pressure: pressure(332.5),
        temperature: plain(24, "degC"),
      },
    }),
    telegram([1], "c4a90e52", {
      bits: "c4a90e52388fa10017",
      bitCount: 72,
      repairedBits: 1,
      fields: {
        sensor: plain("c4a90e52"),
        mode: plain("rolling"),
        batteryLow: plain(true),
        pressure: pressure(360),
        temperature: plain(31, "degC"),
      },
    }),
  ],
);
const notes: SearchedNote[] = [
  { id: "n1", fromSeconds: 0.45, toSeconds: 0.6, label: "doubtful", comment: "Looks weak, compare it with a good one" },
  { id: "n2", fromSeconds: 1.3, toSeconds: 1.5, label: "", comment: "the door was opened" },
];
const where: SearchIn = { frames, notes, layoutOf, units };

const found = (text: string, there: SearchIn = where): string[] => {
  const searched = search(text, there);
  if (!searched.ok) throw new Error(searched.says);
  return searched.hits.map(({ of }) => `${of.kind} ${of.id}`);
};

describe("a search", () => {
  it.each<[what: string, text: string, hits: string[]]>([
    ["a part of a sensor ID", "3a51", ["frame 0"]],
    ["an ID in capitals and groups", "C4 A9 0E 52", ["frame 1"]],
    ["an ID by its field", "sensor c4a9", ["frame 1"]],
    ["an ID by what people call it", "id 3a51c0de", ["frame 0"]],
    ["bits", "bits 0011101", ["frame 0"]],
    ["bits with either-bits", "0011xx1001010001", ["frame 0"]],
    ["hex bits with a digit that may be any", "0x3a5xc0de", ["frame 0"]],
    ["symbols of a burst without a telegram", "0xa5a5", ["frame 2"]],
    ["a pressure above", "pressure > 250", ["frame 1"]],
    ["in words", "pressure above 250", ["frame 1"]],
    ["with a decimal comma", "pressure < 231,5", ["frame 0"]],
    ["a pressure in another unit", "pressure > 36 psi", ["frame 1"]],
    ["a span", "pressure 230 to 232", ["frame 0"]],
    ["a pressure as it is rounded", "pressure = 231", ["frame 0"]],
    ["a temperature", "temperature = 31", ["frame 1"]],
    ["a temperature without a sign", "Temperature 31 °C", ["frame 1"]],
    ["a temperature in another unit", "temp is 88 F", ["frame 1"]],
    ["at least", "temperature ≥ 24", ["frame 0", "frame 1"]],
    ["not", "temperature is not 24", ["frame 1"]],
    ["a flag in two words", "Battery Low", ["frame 1"]],
    ["a flag as it is called", "batterylow = no", ["frame 0"]],
    ["a word of a field", "mode rolling", ["frame 1"]],
    ["the beginning of a field's name", "press > 250", ["frame 1"]],
    ["a rung", "check", ["frame 2"]],
    ["why a rung was missed", "cut off", ["frame 3"]],
    ["a repair", "repaired", ["frame 1"]],
    ["the receiver's limit", "limit", ["frame 3"]],
    ["a layout", "pilot-car", ["frame 0", "frame 1"]],
    ["a note's label", "Doubtful", ["note n1"]],
    ["words of a note in any order", "door opened", ["note n2"]],
    ["nothing that is there", "zebra", []],
    ["nothing", "  ", []],
  ])("finds %s: %s", (_, text, hits) => {
    expect(found(text)).toEqual(hits);
  });

  it.each<[text: string, says: RegExp]>([
    ["presure > 250", /no field is called “presure”.*pressure/i],
    ["pressure >", /held against/],
    ["pressure > much", /“much” is no number/],
    ["bits 3a5", /0x3a5/],
    ["0x", /3 bits or more/],
    ["xxxx", /0 or a 1/],
  ])("says what is wrong with %s", (text, says) => {
    const searched = search(text, where);
    expect(searched.ok ? "understood" : searched.says).toMatch(says);
  });

  it("takes numbers without a unit in those that the reader set", () => {
    const american: SearchIn = { ...where, units: { pressure: "psi", temperature: "degF" } };
    expect(found("pressure > 36", american)).toEqual(["frame 1"]);
    expect(found("pressure > 36")).toEqual(["frame 0", "frame 1"]);
    expect(found("temperature = 88", american)).toEqual(["frame 1"]);
  });

  it("says where a pattern lies, and tells one hit a frame", () => {
    const searched = search("0x21", where);
    expect(searched.ok && searched.hits[0]?.says).toBe("0x21 at bits 32–39");
    expect(searched.ok && searched.hits[0]?.bit).toBe(32);
  });

  it("finds bits exactly where they are, in every frame that has them and in no other", () => {
    const drawn = fc.tuple(
      fc.array(fc.tuple(fc.uint8Array({ minLength: 1, maxLength: 12 }), fc.boolean()), { maxLength: 8 }),
      fc
        .array(fc.constantFrom("0", "1", "x"), { minLength: 3, maxLength: 9 })
        // What begins with 0x is read as hex digits.
        .filter((all) => all.some((one) => one !== "x") && !all.join("").startsWith("0x")),
    );
    fc.assert(
      fc.property(drawn, ([bodies, letters]) => {
        const pattern = letters.join("");
        const hexes = bodies.map(([bytes]) => [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join(""));
        const all = framesOf(
          hexes.map((hex, i) => burst(i, i, { outcome: "sync", symbols: hex, symbolCount: hex.length * 4 })),
          hexes.flatMap((hex, i) =>
            bodies[i]?.[1] ? [telegram([i], null, { bits: hex, bitCount: hex.length * 4 })] : [],
          ),
        );
        const searched = search(pattern, { ...where, frames: all, notes: [] });
        expect(searched.ok).toBe(true);
        const hits = searched.ok ? searched.hits : [];
        const wanted = new RegExp(pattern.replaceAll("x", "."));
        const have = all.filter((frame) => wanted.test(searchedBits(frame).bits.join("")));
        expect(hits.map(({ of }) => of.id)).toEqual(have.map(({ id }) => id));
        for (const hit of hits) {
          const frame = all.find(({ id }) => id === hit.of.id);
          const text = frame ? searchedBits(frame).bits.join("") : "";
          expect(hit.bit).toBe(text.search(wanted));
        }
      }),
    );
  });

  it("finds by ID only frames with it, and all of them", () => {
    fc.assert(
      fc.property(drawnFrames, fc.constantFrom("3a51", "c0de", "51bb", "ff"), (all, part) => {
        const searched = search(part, { ...where, frames: all, notes: [] });
        const hits = searched.ok ? searched.hits.map(({ of }) => of.id) : [];
        const having = all.filter(({ telegram: one }) => one?.identity?.includes(part)).map(({ id }) => id);
        expect(hits.toSorted()).toEqual(having.toSorted());
      }),
    );
  });

  it("finds by value only frames whose value fulfils what was asked", () => {
    const value = fc.double({ min: -40, max: 125, noNaN: true });
    const relation = fc.constantFrom(
      [">", (a: number, b: number) => a > b],
      ["<=", (a: number, b: number) => a <= b],
    ) as fc.Arbitrary<[string, (a: number, b: number) => boolean]>;
    fc.assert(
      fc.property(
        fc.array(value, { maxLength: 10 }),
        fc.integer({ min: -40, max: 125 }),
        relation,
        (values, than, [sign, holds]) => {
          const all = framesOf(
            values.map((_, i) => burst(i, i)),
            values.map((celsius, i) => telegram([i], "3a51c0de", { fields: { temperature: plain(celsius, "degC") } })),
          );
          const searched = search(`temperature ${sign} ${than}`, { ...where, frames: all, notes: [] });
          const wanted = all.filter((_, i) => holds(values[i] ?? 0, than)).map(({ id }) => id);
          // Without any frame there is no field that could be meant.
          expect(searched.ok ? searched.hits.map(({ of }) => of.id) : []).toEqual(wanted);
        },
      ),
    );
  });

  it("never throws, whatever is typed", () => {
    fc.assert(fc.property(fc.string({ maxLength: 40 }), (text) => void search(text, where)));
  });
});

describe("hits", () => {
  const searched = search("temperature > 0", where);
  const hits = searched.ok ? searched.hits : [];

  it("are counted, and gone through round the ends", () => {
    expect(hits).toHaveLength(2);
    expect(hitCount(hits, undefined)).toBe("2 found");
    expect(hitCount(hits, "frame 1")).toBe("2 of 2");
    expect(hitCount([], undefined)).toBe("none");
    expect(stepped(hits, undefined, 1)?.key).toBe("frame 0");
    expect(stepped(hits, undefined, 1, 0.2)?.key).toBe("frame 1");
    expect(stepped(hits, undefined, -1)?.key).toBe("frame 1");
    expect(stepped(hits, "frame 1", 1)?.key).toBe("frame 0");
    expect(stepped(hits, "frame 0", -1)?.key).toBe("frame 1");
    expect(stepped([], undefined, 1)).toBeUndefined();
  });

  it("have a tick each in the overview, one a pixel, none outside", () => {
    expect(hitTicks(hits, 2, 100)).toEqual([5, 25]);
    expect(hitTicks(hits, 2, 2)).toEqual([0]);
    expect(hitTicks(hits, 0.5, 100).every((x) => x < 100)).toBe(true);
  });
});

it("a condition is told back as it was understood", () => {
  const read = conditionOf("pressure at least 2,2 bar", ["pressure"], units);
  expect(read?.ok && read.value.says).toBe("pressure at least 2.2\u202fbar");
});
