import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { analyse } from "../../decoders/analyse.ts";
import { type Layout, LINE_CODES } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { decodeSymbols, lineCodeOf } from "../../decoders/linecode/lineCode.ts";
import type { BurstRecord } from "../../decoders/records.ts";
import { type Caught, caughtOf } from "../../decoders/workshop/caught.ts";
import { cutAgain, type Listened, listenAgain } from "../../decoders/workshop/cutAgain.ts";
import { softBits } from "../../decoders/workshop/softBits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { encodeLine } from "../../seeds/encode/line-code.ts";
import { telegramSamples } from "../../seeds/telegram-signal.ts";

const SAMPLE_RATE_HZ = 250_000;
const DEVIATION_HZ = 20_000;

function layoutWith(keying: Pick<Layout, "modulation" | "symbolRate" | "lineCode">): Layout {
  const parsed = parseLayout({
    id: "drawn",
    title: "Drawn",
    origin: "invented",
    carrierHz: [433.92e6],
    ...keying,
    ...(keying.modulation === "fsk" ? { deviationHz: DEVIATION_HZ } : {}),
    preamble: { symbols: "10", repeat: 12 },
    sync: { symbols: "1100101000111010" },
    bits: 48,
    fields: [{ name: "sensor", at: 0, bits: 48, type: "identity" }],
    checks: [],
  });
  if (!parsed.ok) throw new RangeError(JSON.stringify(parsed.complaints));
  return parsed.layout;
}

async function heard(layout: Layout, ebN0Db: number, count: number) {
  const caught: Caught[] = [];
  const listened: Listened[] = [];
  const sent = new Map<string, Uint8Array>();
  for (let i = 0; i < count; i++) {
    const signal = telegramSamples(
      layout,
      { sensor: BigInt(i + 1) * 0x1234_5678_9abn },
      {
        sampleRateHz: SAMPLE_RATE_HZ,
        ebN0Db,
        offsetHz: 1000 * i - 3000,
        clockPpm: 50 * i - 150,
        seed: 70 + i,
        leadSeconds: 0.012,
        tailSeconds: 0.012,
      },
    );
    const source = {
      kind: "samples",
      file: "drawn",
      sampleType: "cf32_le",
      sampleRateHz: SAMPLE_RATE_HZ,
      captures: [{ sampleStart: 0, carrierHz: 433.92e6 }],
      blocks: [new Uint8Array(signal.iq.buffer)],
    } as const;
    const idOf = ({ index }: BurstRecord) => `${i}#${index}`;
    const records: BurstRecord[] = [];
    for await (const record of analyse(source, [])) if (record.kind === "burst") records.push(record);
    for (const record of records) {
      sent.set(idOf(record), frameSymbols(layout, signal.bits));
      const one = caughtOf(record, idOf(record), 10 * i);
      if (one) caught.push(one);
    }
    listened.push(...(await listenAgain(source, records, 10 * i, idOf)));
  }
  return { caught, listened, sent };
}

/** The fewest that differ, however many symbols more or less one of them begins with. */
function differing(symbols: Uint8Array, sent: Uint8Array): number {
  const differ = (shift: number) => sent.reduce((sum, one, i) => sum + Number(symbols[i + shift] !== one), 0);
  return Math.min(...Array.from({ length: 17 }, (_, i) => differ(i - 8)));
}

describe("weak bursts of one kind, cut together", () => {
  // At 12 dB a bit, Manchester has 9 dB a symbol: one of a hundred is wrong, by noncoherent detection of FSK.
  it.each([
    { modulation: "fsk", symbolRate: 5100, lineCode: "manchester-ieee" },
    { modulation: "fsk", symbolRate: 14_200, lineCode: "biphase-mark" },
    { modulation: "ask", symbolRate: 9700, lineCode: "manchester-ieee" },
  ] as const)(
    "have the rate and nearly all symbols that were sent ($modulation, $symbolRate a second)",
    async (keying) => {
      const { caught, listened, sent } = await heard(layoutWith(keying), 12, 8);
      const cut = cutAgain(listened, caught);
      expect(cut).toHaveLength(8);
      for (const { id, symbolRate, modulation, deviationHz, symbols, evidence } of cut) {
        expect(modulation).toBe(keying.modulation);
        expect(Math.abs(symbolRate / keying.symbolRate - 1)).toBeLessThan(0.002);
        if (deviationHz !== null) expect(Math.abs(deviationHz / DEVIATION_HZ - 1)).toBeLessThan(0.05);
        expect(evidence).toHaveLength(symbols.length);
        expect(differing(symbols, sent.get(id)!)).toBeLessThan(8);
      }
    },
  );

  it("are left as they were where there are too few of them", async () => {
    const { caught, listened } = await heard(
      layoutWith({ modulation: "fsk", symbolRate: 9600, lineCode: "nrz" }),
      25,
      2,
    );
    expect(caught).toHaveLength(2);
    expect(cutAgain(listened, caught)).toEqual(caught);
  });
});

describe("bits out of symbols in doubt", () => {
  const pulse = { zero: "110", one: "1100" };

  it.each(LINE_CODES)("are those of the line code where nothing is in doubt (%s)", (lineCode) => {
    const code = lineCodeOf({ lineCode, pulse });
    fc.assert(
      fc.property(fc.uint8Array({ min: 0, max: 1, minLength: 1, maxLength: 60 }), (bits) => {
        const symbols = encodeLine({ lineCode, pulse }, bits, 0);
        const evidence = Float32Array.from(symbols, (symbol) => (symbol === 1 ? 9 : -9));
        const soft = softBits(evidence, code, 0, bits.length);
        expect(soft.bits).toEqual(decodeSymbols(code, symbols, 0).bits);
        expect(soft.bits).toEqual(bits);
      }),
    );
  });

  it("are not changed by a wrong symbol that is more in doubt than its partner", () => {
    const code = lineCodeOf({ lineCode: "manchester-thomas" });
    const { bits, evidence } = softBits(Float32Array.of(9, -9, 2, 5, -9, 9), code, 0, 3);
    expect([...bits]).toEqual([1, 0, 0]);
    expect([...evidence]).toEqual([18, -3, -18]);
  });

  it("are unknown behind the end", () => {
    const { evidence } = softBits(Float32Array.of(9, -9), lineCodeOf({ lineCode: "manchester-thomas" }), 0, 2);
    expect([...evidence]).toEqual([18, 0]);
  });
});
