import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { type Stretch, stretchesOf } from "../../web/model/fieldRuler.ts";
import { bitStrip, NARROW_PX, RIBBON, type StretchWords } from "../../web/model/recording/bitStrip.ts";
import { randomLayout } from "../support/random-layout.ts";

/** About what a letter of the labels takes; the drawing's own figure is a little above. */
const PX_PER_LETTER = 7;
const LEAST_BIT_PX = 12;

const width = fc.integer({ min: 120, max: 1600 });
const bitsOf = (count: number) => Uint8Array.from({ length: count }, (_, i) => ((i * 7) % 3) & 1);

/** Words of any length below everything that is named. */
const labelled = fc
  .tuple(
    fc.oneof(fc.constantFrom(...builtinLayouts), randomLayout),
    fc.array(fc.tuple(fc.nat(40), fc.nat(40)), { minLength: 1, maxLength: 9 }),
  )
  .map(([layout, lengths]) => {
    const stretches = stretchesOf(layout);
    const wordsOf = ({ kind, at }: Stretch): StretchWords | undefined => {
      if (kind === "unassigned") return undefined;
      const [upper, lower] = lengths[at % lengths.length]!;
      return { upper: "u".repeat(upper + 1), lower: "l".repeat(lower + 1) };
    };
    return { layout, stretches, wordsOf };
  });

describe("the bit strip", () => {
  it("covers the frame: every bit of every stretch once, in rows of whole bytes", () => {
    fc.assert(
      fc.property(labelled, width, ({ layout, stretches, wordsOf }, widthPx) => {
        const { rows } = bitStrip(bitsOf(layout.bits), stretches, wordsOf, widthPx);
        let next = 0;
        const perRow = rows[0]!.bitCount;
        for (const [i, row] of rows.entries()) {
          expect(row.firstBit).toBe(next);
          if (i < rows.length - 1) expect(row.bitCount).toBe(perRow);
          expect(row.firstBit % 8).toBe(0);
          for (const { part } of row.parts) {
            expect(row.firstBit + part.from).toBe(next);
            next += part.count;
          }
          expect(next).toBe(row.firstBit + row.bitCount);
        }
        expect(next).toBe(layout.bits);
      }),
    );
  });

  it("labels every named stretch once, in the row where it begins", () => {
    fc.assert(
      fc.property(labelled, width, ({ layout, stretches, wordsOf }, widthPx) => {
        const { rows } = bitStrip(bitsOf(layout.bits), stretches, wordsOf, widthPx);
        const labels = rows.flatMap((row) => row.labels.map(({ stretch }) => stretch));
        expect(labels).toEqual(stretches.filter(({ kind }) => kind !== "unassigned"));
        for (const row of rows) {
          for (const { stretch } of row.labels) {
            expect(stretch.at).toBeGreaterThanOrEqual(row.firstBit);
            expect(stretch.at).toBeLessThan(row.firstBit + row.bitCount);
          }
        }
      }),
    );
  });

  it("has labels that overlap neither each other nor a leader", () => {
    fc.assert(
      fc.property(labelled, width, ({ layout, stretches, wordsOf }, widthPx) => {
        for (const { labels, laneCount } of bitStrip(bitsOf(layout.bits), stretches, wordsOf, widthPx).rows) {
          for (const label of labels) {
            const letters = Math.max(label.words.upper.length, label.words.lower.length);
            expect(label.width).toBeGreaterThanOrEqual(PX_PER_LETTER * letters);
            expect(label.lane).toBeLessThan(laneCount);
            for (const other of labels) {
              if (other === label) continue;
              const apart = other.x > label.x + label.width || other.x + other.width < label.x;
              if (other.lane === label.lane) expect(apart).toBe(true);
              // The leader of a deeper label goes down through this one's lane.
              if (other.lane > label.lane) expect(other.x < label.x || other.x > label.x + label.width).toBe(true);
            }
          }
          expect(laneCount).toBe(labels.length === 0 ? 0 : Math.max(...labels.map(({ lane }) => lane)) + 1);
        }
      }),
    );
  });

  it("stays in its width with bits that can be told apart", () => {
    fc.assert(
      fc.property(labelled, width, ({ layout, stretches, wordsOf }, widthPx) => {
        const { rows, bitPx, x } = bitStrip(bitsOf(layout.bits), stretches, wordsOf, widthPx);
        expect(bitPx).toBeGreaterThanOrEqual(LEAST_BIT_PX - 1e-9);
        for (const row of rows) {
          expect(x(row.bitCount - 1) + bitPx).toBeLessThanOrEqual(widthPx + 1e-9);
          for (const { x: left, width: across } of row.labels) {
            expect(left + across).toBeLessThanOrEqual(widthPx + 1e-9);
          }
          for (const part of row.parts) {
            expect(part.x).toBe(x(part.part.from));
            expect(part.width).toBeGreaterThanOrEqual(part.part.count * bitPx - 1e-9);
          }
        }
      }),
    );
  });

  it("has numbers in place of words on a narrow page", () => {
    const [layout] = builtinLayouts;
    const words = () => ({ upper: "pressure 231 kPa", lower: "133" });
    const upperAt = (widthPx: number) =>
      bitStrip(bitsOf(layout!.bits), stretchesOf(layout!), words, widthPx).rows.flatMap(({ labels }) =>
        labels.map((label) => label.words.upper),
      );
    expect(upperAt(NARROW_PX - 1)).toEqual(stretchesOf(layout!).map(({ key }) => key));
    expect(new Set(upperAt(1600))).toEqual(new Set(["pressure 231 kPa"]));
  });

  it("cuts words that have no room, and says so", () => {
    const [layout] = builtinLayouts;
    const long = "a".repeat(300);
    const { rows } = bitStrip(bitsOf(layout!.bits), stretchesOf(layout!), () => ({ upper: long, lower: "133" }), 800);
    for (const { labels } of rows) {
      for (const { words } of labels) {
        expect(words.upper).toMatch(/^a{3,}…$/);
        expect(words.lower).toBe("133");
      }
    }
  });

  it("draws every bit as high or low, with a gap after each byte", () => {
    fc.assert(
      fc.property(fc.uint8Array({ max: 1, minLength: 1, maxLength: 200 }), width, (bits, widthPx) => {
        const { rows } = bitStrip(bits, [], () => undefined, widthPx);
        const levels = rows.flatMap(({ ribbon, bitCount }) => {
          expect(ribbon.split("M").length - 1).toBe(Math.ceil(bitCount / 8));
          return [...ribbon.matchAll(/(?:M[\d.]+ |V)(\d+)H/g)].map(([, y]) => Number(y));
        });
        expect(levels).toEqual([...bits].map((bit) => (bit === 1 ? RIBBON.highY : RIBBON.lowY)));
      }),
    );
    const { rows, bitPx, x } = bitStrip(Uint8Array.of(1, 0, 0, 1, 0, 1, 1, 1, 1), [], () => undefined, 400);
    expect(bitPx).toBe(22);
    expect(x(8) - x(7)).toBe(28);
    expect(rows[0]?.ribbon).toMatch(/^M0 4H22V24H44V24H66V4H88/);
    expect(rows[0]?.ribbon).toMatch(/M182 4H204$/);
  });

  it("of symbols without a layout has no labels and is one stretch", () => {
    const { rows } = bitStrip(bitsOf(300), [], () => undefined, 800);
    expect(rows.flatMap(({ labels }) => labels)).toEqual([]);
    expect(rows.reduce((sum, { bitCount }) => sum + bitCount, 0)).toBe(300);
    expect(bitStrip(new Uint8Array(0), [], () => undefined, 800).rows).toEqual([]);
  });

  it("of a frame that was cut off has the rows of the whole frame, and a ribbon as far as there are bits", () => {
    const layout = builtinLayouts.find(({ bits }) => bits === 72)!;
    const shape = (bits: Uint8Array) =>
      bitStrip(bits, stretchesOf(layout), () => undefined, 800).rows.map(({ bitCount }) => bitCount);
    expect(shape(bitsOf(5))).toEqual(shape(bitsOf(72)));
    const { rows } = bitStrip(bitsOf(5), stretchesOf(layout), () => undefined, 800);
    expect(rows[0]?.ribbon.split("H")).toHaveLength(6);
    expect(rows.slice(1).every(({ ribbon }) => ribbon === "")).toBe(true);
  });
});
