import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { bitsOfHex } from "../../decoders/frames/hex.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { hexOfBits } from "../../seeds/hex-of-bits.ts";
import type { BurstBody, BurstSymbolsBody } from "../../server/http/wire.ts";
import {
  ALIGNMENTS,
  type Comparison,
  compareSearch,
  comparisonOf,
  refusedIn,
} from "../../web/model/compare/address.ts";
import { rowsOf } from "../../web/model/compare/bitRows.ts";
import { differenceHeading, differencesOf, runsText } from "../../web/model/compare/differences.ts";
import { type MeasureRow, measureRows, measuresHeading } from "../../web/model/compare/measures.ts";
import {
  bandPath,
  inLane,
  lettersAt,
  louderDbOf,
  momentWords,
  onAxis,
  sharedAxis,
  sharedTicks,
} from "../../web/model/compare/overlay.ts";
import { meantBy, picked } from "../../web/model/compare/picked.ts";
import { leadSymbols, placeOf } from "../../web/model/compare/places.ts";
import { isOnTray, type Tray, toggled, trayAddress, trayFrom, trayText } from "../../web/model/compare/tray.ts";
import type { FrameBits } from "../../web/model/recording/frameBits.ts";
import { framesOf } from "../../web/model/recording/frames.ts";
import { burst, recording, signal, telegram } from "../support/recording-bodies.ts";

const units = { pressure: "kPa", temperature: "degC" } as const;
const layout = (id: string): Layout => {
  const found = builtinLayouts.find((one) => one.id === id);
  if (!found) throw new Error(`no layout ${id}`);
  return found;
};
const layoutOf = (id: string) => builtinLayouts.find((one) => one.id === id);
const pilot = layout("pilot-car");
const hash = (digit: string) => digit.repeat(128);

describe("the address of a comparison", () => {
  const link = `?v=1&of=${"a".repeat(24)}:0&of=${"b".repeat(24)}:3.2&align=start&t=-0.003s..0.0125s`;

  it("names frames, what lies at zero and what is shown", () => {
    const comparison = comparisonOf(link);
    expect(comparison).toEqual({
      picks: [
        { hash: "a".repeat(24), frame: "0" },
        { hash: "b".repeat(24), frame: "3.2" },
      ],
      align: "start",
      offsetsSeconds: [0, 0],
      range: { fromSeconds: -0.003, toSeconds: 0.0125 },
    });
    expect(compareSearch(comparison)).toBe(link);
  });

  it("leads back to what it was made of", () => {
    const seconds = fc.integer({ min: -5e6, max: 5e6 }).map((us) => us / 1e6);
    const drawn = fc.record({
      picks: fc.array(
        fc.record({
          hash: fc.stringMatching(/^[0-9a-f]{16,24}$/),
          frame: fc.option(fc.stringMatching(/^[0-9]{1,3}(\.[2-9])?$/), { nil: undefined }),
        }),
        { minLength: 1, maxLength: 5 },
      ),
      align: fc.constantFrom(...ALIGNMENTS),
      offsets: fc.array(seconds, { minLength: 5, maxLength: 5 }),
      range: fc.option(
        fc
          .tuple(seconds, fc.integer({ min: 1, max: 1e6 }))
          .map(([from, us]) => ({ fromSeconds: from, toSeconds: from + us / 1e6 })),
        { nil: undefined },
      ),
    });
    fc.assert(
      fc.property(drawn, ({ picks, align, offsets, range }) => {
        const offsetsSeconds = picks.map((_, i) => (align === "offset" ? (offsets[i] ?? 0) : 0));
        const asked: Comparison = { picks, align, offsetsSeconds, range };
        const back = comparisonOf(compareSearch(asked));
        expect(back.picks).toEqual(picks);
        expect(back.align).toBe(align);
        expect(back.offsetsSeconds.map((one) => one + 0)).toEqual(offsetsSeconds.map((one) => one + 0));
        if (range === undefined) expect(back.range).toBeUndefined();
        else expect(back.range?.toSeconds).toBeCloseTo(range.toSeconds, 8);
      }),
    );
  });

  it.each([
    ["too few digits of a hash", "?v=1&of=abcdef:0"],
    ["no hash", "?v=1&of=hello"],
    ["a frame that is no number", `?v=1&of=${"a".repeat(16)}:x`],
  ])("refuses %s, and says what", (_, search) => {
    expect(comparisonOf(search).picks).toEqual([]);
    expect(refusedIn(search)).toHaveLength(1);
  });

  it("of another version is left alone", () => {
    expect(comparisonOf(link.replace("v=1", "v=9")).picks).toEqual([]);
  });

  it("takes five at most", () => {
    const many = Array.from({ length: 8 }, () => `of=${"a".repeat(16)}`).join("&");
    expect(comparisonOf(`?v=1&${many}`).picks).toHaveLength(5);
  });
});

describe("a recording that is meant", () => {
  const all = [
    recording({ hash: hash("a") }),
    recording({ hash: `${"a".repeat(40)}${"c".repeat(88)}`, name: "other" }),
  ];

  it("is held, missing, or may be several", () => {
    expect(meantBy({ hash: "a".repeat(41), frame: undefined }, all)).toMatchObject({ kind: "held" });
    expect(meantBy({ hash: "b".repeat(16), frame: "2" }, all)).toEqual({
      kind: "missing",
      pick: { hash: "b".repeat(16), frame: "2" },
    });
    expect(meantBy({ hash: "a".repeat(16), frame: undefined }, all)).toMatchObject({
      kind: "several",
      names: ["bay", "other"],
    });
  });

  it("has its first read frame chosen, and says where the one asked for is not there", () => {
    const bursts = [burst(0, 0.1, { outcome: "sync" }), burst(1, 0.2)];
    const records = { bursts, telegrams: [telegram([1])] };
    const first = picked("A", recording(), records, { hash: hash("a"), frame: undefined }, layoutOf);
    expect(first.frame?.id).toBe("1");
    expect(first.isStandIn).toBe(false);
    const gone = picked("A", recording(), records, { hash: hash("a"), frame: "99" }, layoutOf);
    expect(gone.frame?.id).toBe("1");
    expect(gone.isStandIn).toBe(true);
  });
});

describe("the tray", () => {
  const entry = (digit: string, frame?: string) => ({ hash: hash(digit), frame, words: `frame ${digit}` });

  it("takes an entry, gives it back, and leads to the comparison from two on", () => {
    const one = toggled([], entry("a", "0"));
    expect(trayAddress(one)).toBeUndefined();
    const two = toggled(one, entry("b", "4"));
    expect(trayAddress(two)).toBe(`/compare?v=1&of=${"a".repeat(24)}:0&of=${"b".repeat(24)}:4&align=sync`);
    expect(isOnTray(two, entry("b", "4"))).toBe(true);
    expect(isOnTray(two, entry("b", "5"))).toBe(false);
    expect(toggled(two, entry("a", "0"))).toEqual([entry("b", "4")]);
  });

  it("is full at five", () => {
    const full = ["0", "1", "2", "3", "4"].reduce<Tray>((tray, frame) => toggled(tray, entry("a", frame)), []);
    expect(full).toHaveLength(5);
    expect(toggled(full, entry("a", "5"))).toEqual(full);
  });

  it("is read back as it was kept, and empty from whatever else lies there", () => {
    const tray = [entry("a", "0"), entry("b")];
    expect(trayFrom(trayText(tray))).toEqual(tray);
    for (const text of [null, "", "{", "7", '[{"hash":"xyz","words":""}]', "[null]"])
      expect(trayFrom(text)).toEqual([]);
  });
});

describe("what lies at zero", () => {
  const [frame] = framesOf([burst(0, 0.2)], [telegram([0])]);
  const one = { frame, layout: pilot, sampleRateHz: 250_000, symbols: undefined, offsetSeconds: 0.75 };
  // Preamble 16 times "10" and a sync of 16: 48 symbols at 19,200 in a second are 2.5 ms.
  it.each([
    ["start", 0.2],
    ["frame", 0.2],
    ["sync", 0.2025],
    ["offset", 0.75],
  ] as const)("aligned on %s is at %d s, by the burst's beginning", (align, atSeconds) => {
    expect(placeOf(one, align).atSeconds).toBeCloseTo(atSeconds, 9);
  });

  it("is taken from the samples where these are measured, and says so", () => {
    const symbols: BurstSymbolsBody["found"] = {
      layout: "pilot-car",
      sync: "found",
      firstBitSample: 50_612.5,
      symbolSamples: 250_000 / 19_200,
      symbolsPerBit: 2,
      firstSymbolSample: 50_000,
      symbolsBeforeBits: 48,
      symbols: "",
      symbolCount: 0,
      confidence: [],
    };
    const sync = placeOf({ ...one, symbols }, "sync");
    expect(sync.atSeconds).toBe(50_612.5 / 250_000);
    expect(sync.says).toMatch(/measured/);
    expect(placeOf({ ...one, symbols }, "frame").atSeconds).toBeCloseTo(50_612.5 / 250_000 - 48 / 19_200, 9);
    expect(placeOf({ ...one, symbols: { ...symbols, sync: "none" } }, "sync").says).toMatch(/after the burst began/);
  });

  it("is the recording's beginning where there is no frame, and the burst's where there is no layout", () => {
    expect(placeOf({ ...one, frame: undefined }, "sync").atSeconds).toBe(0);
    expect(placeOf({ ...one, layout: undefined }, "sync").atSeconds).toBe(0.2);
  });

  it("counts the symbols before the first bit", () => expect(leadSymbols(pilot)).toBe(48));
});

/** The bits of a telegram of pilot-car, as the server gives it. */
function pilotBits(hex: string, kpa = 332.5): Extract<FrameBits, { layout: Layout }> {
  return {
    source: "telegram",
    bits: bitsOfHex(hex, 72),
    layout: pilot,
    fields: { pressure: { raw: kpa / 2.5, value: kpa, unit: "kPa", plausible: true } },
    brokenAt: [],
    missingBits: 0,
  };
}

describe("bits that differ", () => {
  // Two telegrams of the sample sound-car; its truth gives both.
  const [a, b] = [pilotBits("3a51c0de21854a00cd", 332.5), pilotBits("3a51c1a722844b0089", 330)];

  it("are told field by field, with both values", () => {
    const found = differencesOf(a, b, units);
    expect(found.kind === "bits" && found.list.map(({ name, differing }) => [name, runsText(differing)])).toEqual([
      ["sensor", "23, 25–28, 31"],
      ["count", "38–39"],
      ["pressure", "47"],
      ["temperature", "55"],
      ["crc", "65, 69"],
    ]);
    const pressure = found.kind === "bits" ? found.list.find(({ name }) => name === "pressure") : undefined;
    expect(pressure?.says).toBe("Bit 47 differs: pressure 330\u202fkPa absolute against 333\u202fkPa absolute.");
    expect(differenceHeading(found, "B")).toBe(
      "12 bits of B differ from A, in sensor, count, pressure, temperature, crc",
    );
  });

  it("are exactly those in which two frames are not alike, for any two", () => {
    const bytes = fc.uint8Array({ minLength: 9, maxLength: 9 });
    fc.assert(
      fc.property(bytes, bytes, (x, y) => {
        const [one, two] = [x, y].map((all) =>
          pilotBits([...all].map((byte) => byte.toString(16).padStart(2, "0")).join("")),
        );
        const found = differencesOf(one!, two!, units);
        const differing = Array.from({ length: 72 }, (_, i) => i).filter(
          (i) => (((x[i >> 3]! ^ y[i >> 3]!) >> (7 - (i & 7))) & 1) === 1,
        );
        expect(found.kind).toBe("bits");
        if (found.kind === "bits") {
          expect(found.differing).toEqual(differing);
          // Every one of them is in exactly one line of the list.
          expect(found.list.flatMap((line) => line.differing)).toEqual(differing);
        }
      }),
    );
  });

  it("are none between a frame and itself", () => {
    const found = differencesOf(a, a, units);
    expect(found).toMatchObject({ kind: "bits", differing: [], list: [] });
    expect(differenceHeading(found, "B")).toBe("B has the same bits as A");
  });

  it("are not made of what one of the two lost at its end", () => {
    const cut: FrameBits = {
      ...pilotBits("3a51c0de21854a00cd"),
      source: "read again",
      bits: bitsOfHex("3a51c0de21854a", 56),
      missingBits: 16,
    };
    const found = differencesOf(a, cut, units);
    expect(found.kind === "bits" && found.differing).toEqual([]);
    expect(found.kind === "bits" && found.list.reduce((sum, { missing }) => sum + missing, 0)).toBe(16);
    expect(differenceHeading(found, "B")).toBe("B has the same bits as A, and 16 bits cut off in one of the two");
  });

  it("are not told across layouts, and it says why", () => {
    const van = layout("chandlers-van");
    const other: FrameBits = { ...pilotBits("00".repeat(9)), layout: van, bits: new Uint8Array(van.bits) };
    const found = differencesOf(a, other, units);
    expect(found.kind === "none" && found.because).toMatch(/pilot-car with 72 bits.*chandlers-van with 64/);
  });

  it("are told symbol by symbol where no layout explains either, however the cut began", () => {
    const symbol = fc.constantFrom(0, 1);
    fc.assert(
      fc.property(fc.array(symbol, { minLength: 60, maxLength: 100 }), fc.nat(8), (all, lost) => {
        const whole: FrameBits = { source: "symbols", bits: Uint8Array.from(all) };
        const late: FrameBits = { source: "symbols", bits: Uint8Array.from(all.slice(lost)) };
        const found = differencesOf(whole, late, units);
        expect(found).toMatchObject({ kind: "symbols", differing: [] });
      }),
    );
    const flipped = Uint8Array.from({ length: 80 }, (_, i) => ((i * i) >> 3) & 1);
    const one: FrameBits = { source: "symbols", bits: flipped };
    const two: FrameBits = { source: "symbols", bits: flipped.map((bit, i) => (i === 40 || i === 41 ? 1 - bit : bit)) };
    const found = differencesOf(one, two, units);
    expect(found.kind === "symbols" && found.list.map(({ says }) => says)).toEqual(["Symbols 40–41 differ."]);
  });

  it("stand in rows that are laid bit below bit", () => {
    const symbols = Uint8Array.from({ length: 64 }, (_, i) => ((i * 7) >> 2) & 1);
    const first = { letter: "A", at: 0, bits: { source: "symbols", bits: symbols } } as const;
    const second = { letter: "B", at: 1, bits: { source: "symbols", bits: symbols.slice(3) } } as const;
    const base = { recording: recording(), frames: [], frame: undefined, layout: undefined, isStandIn: false };
    const rows = rowsOf(
      [
        { ...base, ...first },
        { ...base, ...second },
      ],
      [differencesOf(first.bits, second.bits, units)],
    );
    expect(rows.firstBit).toBe(3);
    expect(hexOfBits(rows.rows[0]?.bits ?? new Uint8Array())).toBe(hexOfBits(rows.rows[1]?.bits ?? new Uint8Array()));
  });
});

describe("measures side by side", () => {
  const side = (more: Partial<BurstBody>, id = "pilot-car", fields = {}) => {
    const frames = framesOf(
      [burst(0, 0.1, { durationSeconds: 0.0102, ...more }), burst(1, 0.16, more)],
      [telegram([0, 1], "3a51c0de", { layout: id, fields })],
    );
    return { frame: frames[0]!, frames, layout: layoutOf(id) };
  };
  const row = (rows: readonly MeasureRow[], name: string) => {
    const found = rows.find((one) => one.name === name);
    if (!found) throw new Error(`no row ${name}`);
    return found;
  };
  const standings = (rows: readonly MeasureRow[], name: string) =>
    row(rows, name).cells.map(({ standing }) => standing);

  it("are alike within what they can be told to", () => {
    const rows = measureRows([side({}), side({ carrierHz: 433_925_400, levelDbfs: -30.5, symbolRate: 19_210 })], units);
    for (const name of ["Carrier", "Level", "Symbol rate", "Keying", "Length of the burst", "From copy to copy"]) {
      expect(standings(rows, name), name).toEqual(["first", "alike"]);
    }
    expect(measuresHeading(rows, ["A", "B"])).toBe("Side by side, no measure asks for a look");
  });

  it("tell another band by a mark, and how far it is", () => {
    const rows = measureRows(
      [side({}), side({ carrierHz: 315_009_100, symbolRate: 16_000, durationSeconds: 0.0111 }, "chandlers-van")],
      units,
    );
    expect(row(rows, "Carrier").cells[1]).toEqual({
      value: "315.0091\u202fMHz",
      standing: "look",
      says: "−118.916\u202fMHz, another band",
    });
    // Each is held against its own nominal carrier: 433.92 and 315 MHz.
    expect(row(rows, "Carrier off its nominal").cells.map(({ value }) => value)).toEqual([
      "+5.0\u202fkHz, +12\u202fppm",
      "+9.1\u202fkHz, +29\u202fppm",
    ]);
    expect(measuresHeading(rows, ["A", "B"])).toBe("Side by side, these ask for a look – B: carrier");
  });

  it.each<[name: string, more: Partial<BurstBody>]>([
    ["Carrier off its nominal", { carrierHz: 433_920_000 + 44_000 }],
    ["Symbol rate off its nominal", { symbolRate: 19_200 * 1.031 }],
    ["Above the noise", { snrDb: 5.9 }],
    ["Length of the burst", { durationSeconds: 0.0094 }],
  ])("mark %s beyond its limit, also on the first", (name, more) => {
    expect(standings(measureRows([side({}), side(more)], units), name)[1]).toBe("look");
    expect(standings(measureRows([side(more), side({})], units), name)[0]).toBe("look");
  });

  it.each<[name: string, more: Partial<BurstBody>]>([
    ["Carrier off its nominal", { carrierHz: 433_920_000 + 43_000 }],
    ["Symbol rate off its nominal", { symbolRate: 19_200 * 1.029 }],
    ["Above the noise", { snrDb: 6.1 }],
    ["Length of the burst", { durationSeconds: 0.0097 }],
    ["Level", { levelDbfs: -60 }],
  ])("do not mark %s within it", (name, more) => {
    expect(standings(measureRows([side({}), side(more)], units), name)[1]).not.toBe("look");
  });

  it("mark a low battery and a value that makes no sense", () => {
    const fields = {
      batteryLow: { raw: 1, value: true, unit: null, plausible: true },
      pressure: { raw: 0, value: 0, unit: "kPa", plausible: false },
    };
    const good = {
      batteryLow: { raw: 0, value: false, unit: null, plausible: true },
      pressure: { raw: 132, value: 330, unit: "kPa", plausible: true },
    };
    const rows = measureRows([side({}, "pilot-car", good), side({}, "pilot-car", fields)], units);
    expect(standings(rows, "battery low")).toEqual(["first", "look"]);
    expect(standings(rows, "pressure")).toEqual(["first", "look"]);
  });

  it("say of every row from where on a difference is told", () => {
    for (const { name, basis } of measureRows([side({}), side({})], units)) expect(basis, name).not.toBe("");
  });
});

describe("signals over each other", () => {
  const lanes = [
    { zeroSeconds: 0.2, seconds: 2 },
    { zeroSeconds: 1.5, seconds: 1.8 },
  ];
  const axis = sharedAxis(lanes, 1e-4);

  it("share an axis that holds all of every recording", () => {
    expect(axis.leadSeconds).toBe(1.5);
    expect(axis.bounds.seconds).toBeCloseTo(1.5 + 1.8, 9);
    for (const lane of lanes) {
      const whole = inLane({ fromSeconds: 0, toSeconds: axis.bounds.seconds }, lane, axis);
      expect(whole?.fromSeconds).toBe(0);
      expect(whole?.toSeconds).toBeCloseTo(lane.seconds, 9);
      // Zero is where the recording was lined up.
      const zero = onAxis({ fromSeconds: lane.zeroSeconds, toSeconds: lane.zeroSeconds + 0.01 }, lane, axis);
      expect(zero.fromSeconds).toBeCloseTo(axis.leadSeconds, 9);
    }
    expect(inLane({ fromSeconds: 0, toSeconds: 1 }, lanes[0]!, axis)).toBeUndefined();
  });

  it("are outlined by their least and most level, with the pulse of a single column", () => {
    const body = signal([0.01, 1, 0.01], 0, 3);
    const path = bandPath(
      body,
      { fromSeconds: 0, toSeconds: 3 },
      { unit: "dBFS", bottom: -60, top: 0 },
      { widthPx: 300, topPx: 0, heightPx: 60 },
    );
    // −40, 0 and −40 dB along the top, their tenths (−60, −20, −60 dB) back along the bottom.
    expect(path).toBe("M0.0 40.0H100.0V0.0H200.0V40.0H300.0V60.0H200.0V20.0H100.0V60.0H0.0Z");
    const raised = bandPath(
      body,
      { fromSeconds: 0, toSeconds: 3 },
      { unit: "dBFS", bottom: -60, top: 0 },
      { widthPx: 300, topPx: 0, heightPx: 60 },
      10,
    );
    expect(raised).toMatch(/^M0\.0 30\.0H100\.0V0\.0/);
    expect(
      bandPath(
        body,
        { fromSeconds: 4, toSeconds: 5 },
        { unit: "dBFS", bottom: -60, top: 0 },
        { widthPx: 300, topPx: 0, heightPx: 60 },
      ),
    ).toBe("");
  });

  it("are raised to the strongest where that is asked", () => {
    expect(louderDbOf([-30, -20, undefined])).toEqual([10, 0, 0]);
    expect(louderDbOf([undefined])).toEqual([0]);
  });

  it("have letters that never cover each other, and move no further than they must", () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 200, noNaN: true }), { maxLength: 5 }), (wanted) => {
        const placed = lettersAt(wanted, 16).toSorted((x, y) => x - y);
        for (let i = 1; i < placed.length; i++) expect(placed[i]! - placed[i - 1]!).toBeGreaterThanOrEqual(16 - 1e-9);
      }),
    );
    expect(lettersAt([100, 10], 16)).toEqual([100, 10]);
    expect(lettersAt([10, 10], 16)).toEqual([10, 26]);
  });

  it("tell times from zero, with a true minus sign", () => {
    expect(momentWords(1.5, axis, 1e-5)).toBe("0.00\u202fms");
    expect(momentWords(1.496, axis, 1e-4)).toBe("−4.0\u202fms");
    expect(momentWords(2, axis, 0.01)).toBe("+0.50\u202fs");
    const labels = sharedTicks({ fromSeconds: 1.496, toSeconds: 1.51 }, axis, 800).map(({ label }) => label);
    expect(labels).toContain("−0.002");
    expect(labels).toContain("0.000");
  });
});
