import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Field, Layout } from "../../decoders/layouts/schema.ts";
import { checkWidth } from "../../decoders/layouts/validate.ts";
import { frameBits, rawRange } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols, symbolsPerBit } from "../../seeds/encode/frame-symbols.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";
import { burstLine, decode, floatSource, lineSource } from "../support/decode.ts";
import { randomLayout } from "../support/random-layout.ts";

// Whatever the encoders of seeds/ say, the decoders must read. The two share nothing but the layout.

const settable = (layout: Layout) => layout.fields.filter((field) => field.type !== "constant");

/** A layout and a raw integer for each field of it. */
const message = randomLayout.chain((layout) =>
  fc.record({
    layout: fc.constant(layout),
    raw: fc.record(
      Object.fromEntries(
        settable(layout).map((field) => {
          const { least, greatest } = rawRange(field);
          return [field.name, fc.bigInt({ min: least, max: greatest })];
        }),
      ),
    ),
  }),
);

const guardBits = (layout: Layout) => 4 + layout.checks.reduce((sum, check) => sum + checkWidth(check), 0);

function expectFields(
  layout: Layout,
  raw: Record<string, bigint>,
  said: Record<string, { raw: number; value: unknown }>,
) {
  for (const field of settable(layout) as Field[]) {
    const sent = raw[field.name]!;
    if (field.type === "identity") {
      expect(said[field.name]?.value).toBe(sent.toString(16).padStart(Math.ceil(field.bits / 4), "0"));
    } else expect(said[field.name]?.raw).toBe(Number(sent));
  }
}

const hexOf = (bits: Uint8Array) =>
  Array.from({ length: Math.ceil(bits.length / 4) }, (_, i) =>
    [0, 1, 2, 3].reduce((value, j) => 2 * value + (bits[4 * i + j] ?? 0), 0).toString(16),
  ).join("");

describe("a burst line of any layout", () => {
  it("is read bit for bit and field for field, and verified", async () => {
    await fc.assert(
      fc.asyncProperty(message, fc.boolean(), async ({ layout, raw }, sure) => {
        const bits = frameBits(layout, raw);
        const symbols = frameSymbols(layout, bits);
        const confidence = sure ? new Uint8Array(symbols.length).fill(255) : undefined;
        const { telegrams, bursts } = await decode(lineSource(burstLine(layout, symbols, confidence)), [layout]);
        expect(telegrams.map((telegram) => telegram.bits)).toEqual([hexOf(bits)]);
        expect(bursts[0]?.outcome).toBe("telegram");
        expectFields(layout, raw, telegrams[0]!.fields);
        if (sure) expect(telegrams[0]!.verified).toBe(guardBits(layout) >= 8);
      }),
      { numRuns: 250 },
    );
  });

  it("is read though its preamble's beginning is missing and noise stands around it", async () => {
    await fc.assert(
      fc.asyncProperty(message, fc.infiniteStream(fc.integer({ min: 0, max: 1 })), async ({ layout, raw }, noise) => {
        const bits = frameBits(layout, raw);
        const whole = frameSymbols(layout, bits);
        const kept = whole.subarray(2 * (layout.preamble.repeat - 4));
        const around = Array.from({ length: 40 }, () => noise.next().value ?? 0);
        // After the frame comes silence; what came before it may be anything.
        const symbols = Uint8Array.from([...around, ...kept, ...new Array(12).fill(0)]);
        const { telegrams } = await decode(lineSource(burstLine(layout, symbols)), [layout]);
        expect(telegrams.map((telegram) => telegram.bits)).toContain(hexOf(bits));
      }),
      { numRuns: 100 },
    );
  });

  it("with one symbol turned is never verified with other bits", async () => {
    await fc.assert(
      fc.asyncProperty(message, fc.nat(), async ({ layout, raw }, n) => {
        const bits = frameBits(layout, raw);
        const symbols = frameSymbols(layout, bits);
        const lead = 2 * layout.preamble.repeat + layout.sync.symbols.length;
        const at = lead + (n % (symbols.length - lead));
        symbols[at] = 1 - symbols[at]!;
        const { telegrams } = await decode(lineSource(burstLine(layout, symbols)), [layout]);
        for (const telegram of telegrams) if (telegram.verified) expect(telegram.bits).toBe(hexOf(bits));
      }),
      { numRuns: 150 },
    );
  });
});

describe("the samples of any layout", () => {
  it("at 25 dB are read bit for bit, with offset and a clock that is off", async () => {
    let read = 0;
    let verifiedWrong = 0;
    let drawn = 0;
    await fc.assert(
      fc.asyncProperty(
        message,
        fc.record({
          offsetHz: fc.integer({ min: -20_000, max: 20_000 }),
          clockPpm: fc.integer({ min: -500, max: 500 }),
          seed: fc.integer({ min: 1, max: 1e6 }),
          sampleRateHz: fc.constantFrom(500_000, 1_000_000),
        }),
        async ({ layout, raw }, air) => {
          const seconds = (layout.bits * symbolsPerBit(layout)) / layout.symbolRate;
          // Bursts last 2 to 200 ms.
          fc.pre(seconds > 0.004 && seconds < 0.15);
          drawn++;
          const signal = telegramSamples(layout, raw, { ...air, ebN0Db: 25, leadSeconds: 0.05, tailSeconds: 0.05 });
          const { telegrams } = await decode(floatSource(signal.iq, air.sampleRateHz, 433_920_000), [layout]);
          const right = telegrams.filter((telegram) => telegram.bits === hexOf(signal.bits));
          verifiedWrong += telegrams.filter((telegram) => telegram.verified && !right.includes(telegram)).length;
          if (right.length === 1) read++;
        },
      ),
      { numRuns: 80 },
    );
    expect(drawn).toBeGreaterThan(50);
    expect(verifiedWrong).toBe(0);
    expect(read / drawn).toBeGreaterThanOrEqual(0.98);
  });
});
