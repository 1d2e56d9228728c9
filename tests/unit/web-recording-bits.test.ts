import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { bitsOfHex } from "../../decoders/frames/hex.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { frameBits as encodedBits, type RawByField, rawRange } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { hexOfBits } from "../../seeds/hex-of-bits.ts";
import type { BurstBody } from "../../server/http/wire.ts";
import { bitsText } from "../../web/model/recording/bitStrip.ts";
import { bitsHeading, bitsNotes } from "../../web/model/recording/bitsWords.ts";
import { type FrameBits, frameBits } from "../../web/model/recording/frameBits.ts";
import { frameStretches, labelOf, traceOf } from "../../web/model/recording/frameStretches.ts";
import { framesOf } from "../../web/model/recording/frames.ts";
import { randomLayout } from "../support/random-layout.ts";
import { burst, telegram } from "../support/recording-bodies.ts";

const UNITS = { pressure: "kPa", temperature: "degC" } as const;
const pilot = builtinLayouts.find(({ id }) => id === "pilot-car")!;
const RAW: RawByField = { sensor: 0x3a51c0den, mode: 9, pressure: 133, temperature: 74, spin: -3 };

/** Layouts of all kinds, each with a frame that its own checks agree to. */
const sent = randomLayout.chain((layout) => {
  const settable = layout.fields.filter(({ type }) => type !== "constant");
  const raws = settable.map((field) => {
    const { least, greatest } = rawRange(field);
    return fc.bigInt({ min: least, max: greatest });
  });
  return fc.tuple(...raws).map((values) => {
    const raw = Object.fromEntries(settable.map(({ name }, i) => [name, values[i]!]));
    return { layout, raw, bits: encodedBits(layout, raw) };
  });
});

function unreadFrame(symbols: Uint8Array, layout: string | null, outcome: BurstBody["outcome"] = "check") {
  const more = { outcome, layout, symbols: hexOfBits(symbols), symbolCount: symbols.length };
  return framesOf([burst(0, 1.5, more)], [])[0]!;
}

function readAgain(symbols: Uint8Array, layout: Layout, outcome?: BurstBody["outcome"]) {
  const found = frameBits(unreadFrame(symbols, layout.id, outcome), () => layout);
  if (found.source !== "read again") throw new Error(`was not read again but ${found.source}`);
  return found;
}

describe("hex", () => {
  it("gives back the bits that it was made of, whatever it was padded with", () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 1 }), { maxLength: 90 }),
        fc.constantFrom("", "0", "ff"),
        (bits, more) => {
          expect([...bitsOfHex(hexOfBits(Uint8Array.from(bits)) + more, bits.length)]).toEqual(bits);
        },
      ),
    );
  });

  it("that is too short is a caller's mistake", () => {
    expect(() => bitsOfHex("ff", 9)).toThrow(RangeError);
  });
});

describe("the bits of a frame", () => {
  const told = (bits: string, bitCount: number) => telegram([0], "aa", { bits, bitCount, layout: "pilot-car" });

  it("that is a telegram are those that were decoded", () => {
    const stored = told("a51c0de3a51c0de3a5", 72);
    const found = frameBits({ burst: burst(0, 0), telegram: stored }, () => pilot);
    expect(found).toMatchObject({ source: "telegram", layout: pilot, brokenAt: [], missingBits: 0 });
    expect("bits" in found && hexOfBits(found.bits)).toBe(stored.telegram.bits);
  });

  it.each([
    ["gone from the shelf", undefined, 72],
    ["of another length by now", pilot, 64],
  ])("stay bare where the layout is %s", (_, layout, bitCount) => {
    const found = frameBits({ burst: burst(0, 0), telegram: told("a51c0de3a51c0de3a5", bitCount) }, () => layout);
    expect(found).toMatchObject({ source: "bare telegram", layoutId: "pilot-car" });
  });

  it("without a telegram are read again out of the symbols, bit for bit, in any layout", () => {
    fc.assert(
      fc.property(sent, ({ layout, bits }) => {
        const found = readAgain(frameSymbols(layout, bits), layout);
        expect([...found.bits]).toEqual([...bits]);
        expect(found.brokenAt).toEqual([]);
        expect(found.missingBits).toBe(0);
      }),
    );
  });

  it("are found behind a start with a wrong symbol, and after silence", () => {
    const bits = encodedBits(pilot, RAW);
    const symbols = Uint8Array.from([0, 0, 0, 0, 0, 0, 0, ...frameSymbols(pilot, bits), 0, 0, 0]);
    const start = 7 + pilot.preamble.symbols.length * pilot.preamble.repeat;
    symbols[start + 2]! ^= 1;
    expect([...readAgain(symbols, pilot).bits]).toEqual([...bits]);
  });

  it("of a burst that ends too early are those that are there, and their whole fields", () => {
    const bits = encodedBits(pilot, RAW);
    const whole = frameSymbols(pilot, bits);
    const perBit = (whole.length - readStart(pilot)) / pilot.bits;
    const found = readAgain(whole.subarray(0, whole.length - 20 * perBit), pilot, "length");
    expect([...found.bits]).toEqual([...bits.subarray(0, 52)]);
    expect(found.missingBits).toBe(20);
    expect(Object.keys(found.fields)).toEqual(
      pilot.fields.filter((one) => one.at + one.bits <= 52).map(({ name }) => name),
    );
  });

  it("are the beginning of what was sent, wherever a burst ends", () => {
    fc.assert(
      fc.property(sent, fc.double({ min: 0.1, max: 0.99, noNaN: true }), ({ layout, bits }, share) => {
        // Pulses of two lengths may be split anew where some are gone.
        fc.pre(layout.lineCode !== "pulse" || layout.pulse?.zero.length === layout.pulse?.one.length);
        const symbols = frameSymbols(layout, bits);
        const start = readStart(layout);
        const end = start + Math.floor(share * (symbols.length - start));
        const found = frameBits(unreadFrame(symbols.subarray(0, end), layout.id, "length"), () => layout);
        if (found.source !== "read again") {
          expect(end - start).toBeLessThan(4);
          return;
        }
        expect([...found.bits]).toEqual([...bits.subarray(0, found.bits.length)]);
        expect(found.bits.length).toBe(Math.floor(((end - start) / (symbols.length - start)) * layout.bits + 1e-9));
      }),
    );
  });

  it("tell where the symbols break the line code", () => {
    const layout = builtinLayouts.find(({ lineCode }) => lineCode === "manchester-ieee")!;
    const symbols = frameSymbols(layout, encodedBits(layout, {}));
    symbols[readStart(layout) + 2 * 5]! ^= 1;
    expect(readAgain(symbols, layout, "line-code").brokenAt).toEqual([5]);
  });

  it("are the symbols alone where no start was found, no layout is known, or the rung was below", () => {
    const symbols = frameSymbols(pilot, encodedBits(pilot, RAW));
    const found: FrameBits[] = [
      frameBits(unreadFrame(symbols, pilot.id, "sync"), () => pilot),
      frameBits(unreadFrame(symbols, pilot.id), () => undefined),
      frameBits(unreadFrame(symbols, null), () => pilot),
      frameBits(unreadFrame(new Uint8Array(symbols.length), pilot.id), () => pilot),
    ];
    expect(found.map(({ source }) => source)).toEqual(Array(4).fill("symbols"));
    expect(found[0]).toMatchObject({ bits: symbols });
  });

  it("are nothing where the burst could not be cut", () => {
    expect(frameBits({ burst: burst(0, 0, { outcome: "symbols" }), telegram: undefined }, () => pilot)).toEqual({
      source: "nothing",
    });
    expect(frameBits(unreadFrame(new Uint8Array(0), pilot.id), () => pilot)).toEqual({ source: "nothing" });
  });

  it("are made of any symbols without a stop", () => {
    const symbols = fc.uint8Array({ max: 1, maxLength: 300 });
    const rung = fc.constantFrom("line-code" as const, "length" as const, "check" as const, "values" as const);
    fc.assert(
      fc.property(symbols, rung, fc.constantFrom(...builtinLayouts), (some, outcome, layout) => {
        const found = frameBits(unreadFrame(some, layout.id, outcome), () => layout);
        if (found.source !== "read again") return;
        expect(found.bits.length + found.missingBits).toBe(layout.bits);
        const stretches = frameStretches(found, UNITS);
        expect(stretches.every((one) => traceOf(one, found.bits).length > 0)).toBe(true);
      }),
    );
  });
});

function readStart({ preamble, sync }: Layout): number {
  return preamble.symbols.length * preamble.repeat + sync.symbols.length;
}

describe("the stretches of a frame", () => {
  it("name every field and every check once, in order, and leave no bit out", () => {
    fc.assert(
      fc.property(sent, ({ layout, bits, raw }) => {
        const stretches = frameStretches(readAgain(frameSymbols(layout, bits), layout), UNITS);
        let next = 0;
        for (const { stretch } of stretches) {
          expect(stretch.at).toBe(next);
          next = stretch.at + stretch.bits;
        }
        expect(next).toBe(layout.bits);
        const named = (kind: string) => stretches.filter(({ stretch }) => stretch.kind === kind);
        expect(named("field").map(({ stretch }) => stretch.name)).toEqual(layout.fields.map(({ name }) => name));
        expect(named("check").map(({ value, isWrong }) => [value, isWrong])).toEqual(
          layout.checks.map(() => ["agrees", false]),
        );
        for (const { stretch, raw: shown, isConstant } of named("field")) {
          expect(isConstant).toBe(stretch.name === "family");
          const value = raw[stretch.name];
          if (value !== undefined && stretch.name !== "sensor") {
            expect(shown.replace("−", "-")).toBe(Number(value).toFixed(0));
          }
        }
      }),
    );
  });

  it("tell a check that does not agree with what it should be, and every bit is caught", () => {
    const right = encodedBits(pilot, RAW);
    fc.assert(
      fc.property(fc.nat(pilot.bits - 1), (at) => {
        const bits = right.slice();
        bits[at]! ^= 1;
        const found = readAgain(frameSymbols(pilot, bits), pilot);
        const check = frameStretches(found, UNITS).find(({ stretch }) => stretch.kind === "check")!;
        expect(check.isWrong).toBe(true);
        expect(check.value).toMatch(/^should be [0-9a-f]{2}$/);
        expect(check.raw).toBe(hexOfBits(bits.subarray(check.stretch.at)));
        if (at >= check.stretch.at)
          expect(check.value).toBe(`should be ${hexOfBits(right.subarray(check.stretch.at))}`);
      }),
    );
  });

  const rows = frameStretches(readAgain(frameSymbols(pilot, encodedBits(pilot, RAW)), pilot), UNITS);
  const named = (name: string) => rows.find(({ stretch }) => stretch.name === name)!;

  it("say value, raw number and bits below the ribbon", () => {
    expect(labelOf(named("sensor"))).toEqual({ upper: "sensor 3a51c0de", lower: "bits 0–31" });
    expect(labelOf(named("pressure"))).toEqual({ upper: "pressure 231\u202fkPa gauge", lower: "133 · bits 40–47" });
    expect(labelOf(named("spin"))?.lower).toMatch(/^−3 · bits /);
    expect(labelOf({ ...named("spin"), stretch: { ...named("spin").stretch, kind: "unassigned" } })).toBeUndefined();
  });

  it("lead from the bits to the value in a sentence", () => {
    const bits = encodedBits(pilot, RAW);
    expect(traceOf(named("pressure"), bits)).toBe(
      "pressure, bits 40 to 47: 1000 0101, that is 133. " +
        `${named("pressure").formula}: 231\u202fkPa gauge (333\u202fkPa absolute).`,
    );
    expect(traceOf(named("crc"), bits)).toMatch(
      /^crc, bits 64 to 71: [01 ]{9}, that is [0-9a-f]{2}; agrees\. CRC of 8 bits/,
    );
    const bare = { ...named("spin"), stretch: { ...named("spin").stretch, kind: "unassigned" as const } };
    expect(traceOf(bare, bits)).toMatch(/^No field and no check names bits 56 to 63: 1111 1101\.$/);
  });

  it("mark what makes no sense", () => {
    const field = pilot.fields.find(({ name }) => name === "pressure")!;
    const strict = {
      ...pilot,
      fields: pilot.fields.map((one) => (one === field ? { ...one, plausible: [0, 10] } : one)),
    };
    const found = readAgain(frameSymbols(pilot, encodedBits(pilot, RAW)), strict as Layout);
    expect(
      frameStretches(found, UNITS)
        .filter(({ isWrong }) => isWrong)
        .map(({ stretch }) => stretch.name),
    ).toEqual(["pressure"]);
  });

  it("that a burst cut off are told as such, and so is a check over them", () => {
    const found = { ...readAgain(frameSymbols(pilot, encodedBits(pilot, RAW)), pilot) };
    const short = frameStretches({ ...found, bits: found.bits.subarray(0, 52), missingBits: 20 }, UNITS);
    expect(short.filter(({ value }) => value === "cut off").map(({ stretch }) => stretch.name)).toEqual([
      "temperature",
      "spin",
      "crc",
    ]);
    // The check is there, but not all that it covers.
    const [late] = pilot.checks;
    const early = { ...pilot, checks: [{ ...late!, at: 0 }], fields: pilot.fields.filter(({ at }) => at >= 8) };
    const cut = frameStretches({ ...found, layout: early, bits: found.bits.subarray(0, 20) }, UNITS);
    expect(cut[0]).toMatchObject({ value: "cut off", isWrong: true, stretch: { kind: "check" } });
    expect(traceOf(short.at(-1)!, found.bits.subarray(0, 52))).toContain("bits 64 to 71: not there");
  });

  it("are shown in the units of the device", () => {
    const found = readAgain(frameSymbols(pilot, encodedBits(pilot, RAW)), pilot);
    const psi = frameStretches(found, { pressure: "psi", temperature: "degF" });
    expect(psi.find(({ stretch }) => stretch.name === "pressure")?.value).toMatch(/^33\.5\u202fpsi gauge/);
  });
});

describe("the bits in words", () => {
  const symbols = frameSymbols(pilot, encodedBits(pilot, RAW));
  const frame = unreadFrame(symbols, pilot.id);
  const again = readAgain(symbols, pilot);

  it.each<[FrameBits, string]>([
    [{ ...again, source: "telegram" }, "Its 72 bits, as pilot-car reads them"],
    [again, "What pilot-car would make of it"],
    [
      { source: "bare telegram", bits: new Uint8Array(9), layoutId: "gone" },
      "Its 9 bits; the layout gone that read them is no longer on the shelf",
    ],
    [
      { source: "symbols", bits: new Uint8Array(40) },
      "Its 40 symbols as they were cut; no layout makes a frame of them",
    ],
    [{ source: "nothing" }, "It could not be cut into symbols"],
  ])("say where they come from", (found, words) => {
    expect(bitsHeading(frame, found)).toBe(`Burst at 1.500\u202fs: the check does not agree. ${words}`);
  });

  it("warn of those that nothing proves, and of nothing else", () => {
    const proves = "nothing proves these bits: read as pilot-car";
    expect(bitsNotes({ ...again, source: "telegram" })).toEqual([]);
    expect(bitsNotes({ source: "nothing" })).toEqual([]);
    expect(bitsNotes(again)).toEqual([proves]);
    expect(bitsNotes({ ...again, missingBits: 1 })).toEqual([proves, "1 bit cut off"]);
    expect(bitsNotes({ ...again, brokenAt: [3, 7], missingBits: 20 })).toEqual([
      proves,
      "line code broken at bits 3, 7, 20 bits cut off",
    ]);
    expect(bitsNotes({ ...again, brokenAt: [3] })).toEqual([proves, "line code broken at bit 3"]);
    const ten = Array.from({ length: 10 }, (_, i) => i);
    expect(bitsNotes({ ...again, brokenAt: ten })[1]).toBe(
      "line code broken at bits 0, 1, 2, 3, 4, 5, 6, 7, and 2 more",
    );
  });

  it("stand in groups of four", () => {
    expect(bitsText(Uint8Array.of(1, 0, 0, 0, 0, 1, 0, 1, 1), 0, 9)).toBe("1000 0101 1");
    expect(bitsText(Uint8Array.of(1, 0), 2, 4)).toBe("");
  });
});
