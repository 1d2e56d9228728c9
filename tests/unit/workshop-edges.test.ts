import { describe, expect, it } from "vitest";
import type { Check } from "../../decoders/layouts/schema.ts";
import { align } from "../../decoders/workshop/align.ts";
import type { Caught } from "../../decoders/workshop/caught.ts";
import { findCrcs } from "../../decoders/workshop/crcSearch.ts";
import { frameTable, symbolsOfFirst, type Telegram } from "../../decoders/workshop/frames.ts";
import { heldBits } from "../../decoders/workshop/heldBits.ts";
import { codeReadings } from "../../decoders/workshop/lineCodes.ts";
import { mended } from "../../decoders/workshop/mend.ts";
import { rowsOf } from "../../decoders/workshop/rows.ts";
import { findSenders } from "../../decoders/workshop/senders.ts";
import { findWordChecks } from "../../decoders/workshop/wordChecks.ts";

const bitsOf = (text: string) => Uint8Array.from(text, Number);

describe("what a bit does while a gauge says the same", () => {
  const pair = (atSeconds: number, figure: number, first: string, second: string) => [
    { atSeconds, figure, bits: bitsOf(first) },
    { atSeconds: atSeconds + 5, figure, bits: bitsOf(second) },
  ];
  const figured = [
    ...pair(0, 100, "01", "00"),
    ...pair(100, 150, "10", "11"),
    ...pair(200, 200, "01", "01"),
    ...pair(300, 250, "11", "10"),
    ...pair(400, 300, "10", "11"),
    ...pair(500, 350, "01", "00"),
  ];

  it("speaks for a bit that stays and against one that changes", () => {
    const [stays, changes] = heldBits(figured);
    expect(stays).toBe(2.5);
    expect(changes).toBe(-2.5);
  });

  it("says nothing where the gauge never says the same twice", () => {
    expect([...heldBits(figured.map((one, i) => ({ ...one, figure: i })))]).toEqual([0, 0]);
  });
});

describe("an identity beside a counter", () => {
  // Three sensors of 15 bits and a counter of six behind each, of which the highest bit never changes.
  const identities = [0x3a5c, 0x46a1, 0x59f4];
  const telegrams = Array.from({ length: 24 }, (_, i): Telegram => {
    const sensor = i % 3;
    const count = [0x0c, 0x2d, 0x2e][sensor]! + Math.floor(i / 3);
    const text = identities[sensor]!.toString(2).padStart(15, "0") + count.toString(2).padStart(6, "0");
    return { ids: [`${i}`], atSeconds: i, bits: bitsOf(text), broken: 0 };
  });

  it("ends where the counter may begin", () => {
    const found = findSenders(telegrams);
    expect(found?.count).toBe(3);
    expect(found!.at + found!.bits).toBeLessThanOrEqual(15);
  });
});

describe("a telegram whose check is known", () => {
  const check: Check = { kind: "xor", width: 4, init: "0x0", covers: [[0, 8]], at: 8 };
  const telegram = (text: string, doubts: readonly number[]): Telegram => {
    const bits = bitsOf(text);
    const evidence = Float32Array.from(bits, (bit, i) => (bit === 1 ? 1 : -1) * (doubts.includes(i) ? 0.5 : 9));
    return { ids: ["one"], atSeconds: 0, bits, broken: doubts.length, evidence };
  };

  it("is whole where it agrees, whatever was in doubt", () => {
    expect(mended(telegram("101001011111", [3]), [check])).toMatchObject({ bits: bitsOf("101001011111"), broken: 0 });
  });

  it("is mended by its doubtful bits", () => {
    expect(mended(telegram("101101011111", [3, 6]), [check])).toMatchObject({
      bits: bitsOf("101001011111"),
      broken: 0,
    });
  });

  it("is not mended by bits that are sure", () => {
    const wrong = telegram("101101011111", []);
    expect(mended(wrong, [check])).toMatchObject({ bits: wrong.bits, broken: 1 });
  });
});

describe("a frame of pulses of two lengths that begins with constant bits", () => {
  const words = { 0: "10", 1: "100" } as const;
  // Three constant bits, then eight that move, then a check over all eleven.
  const frames = Array.from({ length: 12 }, (_, i) => `010${((37 * i + 11) & 255).toString(2).padStart(8, "0")}`);
  const sent = frames.map(
    (bits) => `${"01".repeat(20)}00101111${[...bits].map((bit) => words[bit as "0" | "1"]).join("")}`,
  );
  const caught = sent.map(
    (symbols, i): Caught => ({
      id: String(i),
      atSeconds: 10 * i,
      durationSeconds: symbols.length / 9600,
      carrierHz: 433.92e6,
      modulation: "fsk",
      deviationHz: 28e3,
      symbolRate: 9600,
      symbols: bitsOf(symbols),
    }),
  );

  it("has them all, each with as many symbols as it has", () => {
    const { aligned } = align(caught);
    const reading = codeReadings(aligned).find(({ pulse }) => pulse?.zero === "10" && pulse.one === "100");
    const table = frameTable(aligned, reading!);
    expect(table.telegrams.map(({ bits }) => bits.join("")).sort()).toEqual(frames.toSorted());
    expect([...table.constantLengths].slice(0, 3)).toEqual([2, 3, 2]);
    expect(symbolsOfFirst(table, 3)).toBe(7);
  });
});

it("no check is claimed of what a line code sends in pairs", () => {
  // Bits without any check, each sent as 10 or 01, and every symbol twice: a line code read at twice its rate.
  const frames = Array.from({ length: 40 }, (_, i) => {
    const bits = ((i * 2_654_435_761) >>> 0).toString(2).padStart(32, "0");
    return bitsOf([...bits].map((bit) => (bit === "1" ? "1100" : "0011")).join(""));
  });
  const found = findCrcs(rowsOf(frames), new Uint8Array(128).fill(1), { count: 0 });
  expect(found.map(({ check }) => `${check.width} ${check.poly}`)).toEqual([]);
});

it("bits of a value that never move are no evidence for it", () => {
  // Eighteen words of which only the last bit moves, and of even parity, as where changes of level end at silence.
  const frames = Array.from({ length: 20 }, (_, i) => {
    const moving = ((i * 40_503 + 7) & 0x1ffff).toString(2).padStart(17, "0");
    const parity = [...moving].filter((bit) => bit === "1").length % 2;
    return bitsOf([...moving, parity].map((bit) => `010${bit}`).join(""));
  });
  const found = findWordChecks(rowsOf(frames), new Uint8Array(72).fill(1), { count: 0 });
  expect(found.filter(({ check }) => check.kind === "xor" && check.width === 4)).toEqual([]);
});
