import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { SignalBody } from "../../server/http/wire.ts";
import type { FrameLook } from "../../web/model/recording/frames.ts";
import { framesOf } from "../../web/model/recording/frames.ts";
import { frameTicks, gripAt, overviewHeading, tenths } from "../../web/model/recording/overview.ts";
import {
  levelAxis,
  levelIn,
  levelParts,
  levelStrokes,
  levelTicks,
  levelWords,
  strongestWords,
} from "../../web/model/recording/signalDrawing.ts";
import { burst, drawnFrames, signal, telegram } from "../support/recording-bodies.ts";

const SIZE = { widthPx: 700, heightPx: 176 };
const unit = fc.constantFrom("dBFS" as const, "share" as const);

/** Levels from silence to full scale, with the least of a column anywhere below its most. */
const drawn: fc.Arbitrary<SignalBody> = fc
  .array(
    fc.tuple(
      fc.oneof(fc.constant(0), fc.double({ min: 1e-5, max: 1, noNaN: true })),
      fc.double({ min: 0, max: 1, noNaN: true }),
    ),
    { minLength: 1, maxLength: 60 },
  )
  .map((columns) => ({
    ...signal(columns.map(([most]) => most)),
    least: columns.map(([most, share]) => most * share),
  }));
const part = fc
  .tuple(fc.double({ min: 0, max: 0.9, noNaN: true }), fc.double({ min: 0.01, max: 1, noNaN: true }))
  .map(([fromSeconds, length]) => ({ fromSeconds, toSeconds: Math.min(1, fromSeconds + length) }));

/** Strokes as rows of x, width, top, bottom. */
function strokeRows(strokes: Float32Array): { x: number; width: number; top: number; bottom: number }[] {
  return Array.from({ length: strokes.length / 4 }, (_, i) => {
    const [x, width, top, bottom] = strokes.subarray(4 * i, 4 * i + 4);
    return { x: x!, width: width!, top: top!, bottom: bottom! };
  });
}

describe("the strokes of a signal", () => {
  it("reach from the least to the most level of every column in sight, however close one looks", () => {
    fc.assert(
      fc.property(drawn, part, unit, (body, range, inUnit) => {
        const axis = levelAxis(body, inUnit);
        const rows = strokeRows(levelStrokes(body, range, axis, SIZE));
        const y = (level: number) => {
          const share = (levelIn(inUnit, level) - axis.bottom) / (axis.top - axis.bottom);
          return SIZE.heightPx * (1 - Math.min(1, Math.max(0, share)));
        };
        const perSecond = SIZE.widthPx / (range.toSeconds - range.fromSeconds);
        for (let i = 0; i < body.columns; i++) {
          const [from, to] = [i / body.columns, (i + 1) / body.columns];
          if (to <= range.fromSeconds + 1e-9 || from >= range.toSeconds - 1e-9) continue;
          const middle = ((from + to) / 2 - range.fromSeconds) * perSecond;
          const row = rows.find(({ x, width }) => x <= middle && middle <= x + width);
          if (!row) throw new Error(`column ${i} has no stroke`);
          expect(row.top).toBeLessThanOrEqual(y(body.most[i]!) + 1e-3);
          expect(row.bottom).toBeGreaterThanOrEqual(y(body.least[i]!) - 1e-3);
        }
      }),
    );
  });

  it("leave no hole between them, are a pixel high at least and stay in the drawing", () => {
    fc.assert(
      fc.property(drawn, part, unit, (body, range, inUnit) => {
        const rows = strokeRows(levelStrokes(body, range, levelAxis(body, inUnit), SIZE));
        expect(rows.length).toBeGreaterThan(0);
        expect(rows[0]!.x).toBeLessThanOrEqual(1e-3);
        expect(rows.at(-1)!.x + rows.at(-1)!.width).toBeGreaterThanOrEqual(SIZE.widthPx - 1e-2);
        for (const [i, { x, width, top, bottom }] of rows.entries()) {
          expect(bottom - top).toBeGreaterThanOrEqual(1 - 1e-4);
          expect(top).toBeGreaterThanOrEqual(0);
          expect(bottom).toBeLessThanOrEqual(SIZE.heightPx);
          const next = rows[i + 1];
          if (!next) continue;
          expect(next.x).toBeCloseTo(x + width, 1);
          expect(next.top).toBeLessThanOrEqual(bottom + 1e-4);
          expect(next.bottom).toBeGreaterThanOrEqual(top - 1e-4);
        }
      }),
    );
  });

  it("are drawn only of what lies in the range", () => {
    const body = signal([0.1, 0.2, 0.3, 0.4]);
    const axis = levelAxis(body, "share");
    const rows = strokeRows(levelStrokes(body, { fromSeconds: 0.5, toSeconds: 0.75 }, axis, SIZE));
    expect(rows.map(({ x, width }) => [x, width])).toEqual([[0, 700]]);
    expect(levelStrokes(body, { fromSeconds: 2, toSeconds: 3 }, axis, SIZE)).toHaveLength(0);
  });
});

describe("the level axis", () => {
  it("holds the strongest moment of a recording, whatever scale its samples have", () => {
    const levels = fc.array(fc.double({ min: 0, max: 1e4, noNaN: true }), { minLength: 1, maxLength: 50 });
    fc.assert(
      fc.property(levels, unit, (most, inUnit) => {
        const { bottom, top } = levelAxis({ most }, inUnit);
        const strongest = levelIn(inUnit, Math.max(...most));
        expect(top).toBeGreaterThan(bottom);
        // Both parts of a sample at full scale are 3.01 dB; a hair of it may lie on the edge.
        expect(strongest).toBeLessThanOrEqual(top + 0.021);
        expect(strongest).toBeGreaterThanOrEqual(bottom);
      }),
    );
  });

  it("has the noise a little above its lower end, in whole tens, and no more above the strongest than needed", () => {
    const noisy = { most: [...Array(90).fill(0.001), ...Array(10).fill(0.2)] };
    expect(levelAxis(noisy, "dBFS")).toEqual({ unit: "dBFS", bottom: -80, top: -10 });
    expect(levelAxis({ most: [1] }, "dBFS").top).toBe(3);
    expect(levelAxis({ most: [0.5] }, "share")).toEqual({ unit: "share", bottom: 0, top: 0.54 });
    expect(levelAxis({ most: [0] }, "share")).toEqual({ unit: "share", bottom: 0, top: 1 });
  });

  it("does not go down to gaps that are filled with nothing", () => {
    const gap = { most: [0, 0, ...Array(98).fill(0.001)] };
    expect(levelAxis(gap, "dBFS").bottom).toBe(-80);
  });

  it("has ticks inside, of which no two say the same", () => {
    const level = fc.oneof(fc.constant(0), fc.double({ min: 1e-6, max: 100, noNaN: true }));
    const levels = fc.array(level, { minLength: 1, maxLength: 50 });
    fc.assert(
      fc.property(levels, unit, fc.integer({ min: 100, max: 240 }), (most, inUnit, heightPx) => {
        const axis = levelAxis({ most }, inUnit);
        const ticks = levelTicks(axis, heightPx);
        expect(ticks.length).toBeGreaterThan(1);
        expect(new Set(ticks.map(({ label }) => label)).size).toBe(ticks.length);
        for (const { y, label } of ticks) {
          expect(y).toBeGreaterThanOrEqual(-1e-6);
          expect(y).toBeLessThanOrEqual(heightPx + 1e-6);
          const value = Number(label.replace("−", "-"));
          const told = axis.bottom + (1 - y / heightPx) * (axis.top - axis.bottom);
          expect(Math.abs(value - told)).toBeLessThan(1e-6 + 1e-3 * (axis.top - axis.bottom));
        }
      }),
    );
  });
});

describe("the level in words", () => {
  const body = signal([0.1, 1, 0, 0.01]);

  it.each([
    [0, "−40.0 to −20.0\u202fdBFS", "0.010 to 0.100 of full scale"],
    [0.3, "−20.0 to 0.0\u202fdBFS", "0.100 to 1.000 of full scale"],
    [0.6, "silence", "0.000 of full scale"],
    [0.99, "−60.0 to −40.0\u202fdBFS", "0.001 to 0.010 of full scale"],
    [1, undefined, undefined],
    [-0.1, undefined, undefined],
  ])("at %d s is that of its column", (at, db, share) => {
    expect(levelWords(body, at, "dBFS")).toBe(db);
    expect(levelWords(body, at, "share")).toBe(share);
  });

  it("is told of every part of a range, from the finest signal that knows it", () => {
    const near = signal([0.5, 0.5], 0, 0.5);
    const parts = levelParts([body, near], { fromSeconds: 0, toSeconds: 1 }, 2, "share");
    expect(parts.map(({ words }) => words)).toEqual(["0.050 to 0.500 of full scale", "0.000 to 0.010 of full scale"]);
    expect(levelParts([], { fromSeconds: 0, toSeconds: 1 }, 2, "share").map(({ words }) => words)).toEqual([
      "not told",
      "not told",
    ]);
  });

  it("of parts loses no moment of a range", () => {
    fc.assert(
      fc.property(drawn, fc.integer({ min: 1, max: 30 }), (whole, count) => {
        const parts = levelParts([whole], { fromSeconds: 0, toSeconds: 1 }, count, "share");
        expect(parts).toHaveLength(count);
        expect(parts[0]?.fromSeconds).toBe(0);
        for (const [i, one] of parts.slice(1).entries()) expect(one.fromSeconds).toBeCloseTo(parts[i]!.toSeconds, 9);
        const mosts = parts.map(({ words }) => Number(words.replace(" of full scale", "").split(" to ").at(-1)));
        expect(Math.max(...mosts)).toBe(Number(Math.max(...whole.most).toFixed(3)));
      }),
    );
  });

  it("leads the band with the strongest moment of what is shown", () => {
    expect(strongestWords([body], { fromSeconds: 0, toSeconds: 1 }, "dBFS")).toBe(
      "At its strongest the level is 0.0\u202fdBFS, from 0.00 to 1.00\u202fs",
    );
    expect(strongestWords([body], { fromSeconds: 0.75, toSeconds: 1 }, "dBFS")).toMatch(/ is −40\.0\u202fdBFS, /);
    expect(strongestWords([body], { fromSeconds: 0.5, toSeconds: 0.75 }, "dBFS")).toMatch(/ is silence, /);
    expect(strongestWords([], { fromSeconds: 0, toSeconds: 1 }, "dBFS")).toBe("The level over time");
  });
});

describe("the overview", () => {
  const WORST: readonly FrameLook[] = ["solid", "hollow", "dotted"];
  const failed = (index: number, atSeconds: number, outcome: "sync" | "check") => burst(index, atSeconds, { outcome });

  it("has one tick for each pixel with frames, which tells the worst of them", () => {
    fc.assert(
      fc.property(drawnFrames, fc.integer({ min: 120, max: 1200 }), (frames, widthPx) => {
        const ticks = frameTicks(frames, 10, widthPx);
        expect(new Set(ticks.map(({ x }) => x)).size).toBe(ticks.length);
        for (const { fromSeconds, look } of frames) {
          const tick = ticks.find(({ x }) => x === Math.floor((fromSeconds / 10) * widthPx));
          expect(WORST.indexOf(tick!.look)).toBeGreaterThanOrEqual(WORST.indexOf(look));
        }
        for (const { x, look } of ticks) {
          expect(x).toBeLessThan(widthPx);
          const its = frames.filter(({ fromSeconds }) => Math.floor((fromSeconds / 10) * widthPx) === x);
          expect(its.some((frame) => frame.look === look)).toBe(true);
        }
      }),
    );
  });

  it("says how long the recording is, and how many bursts were not read", () => {
    const read = telegram([0]);
    expect(overviewHeading([], 1.8)).toBe("The whole recording: 1.80\u202fs with no bursts");
    expect(overviewHeading(framesOf([burst(0, 0)], [read]), 1.8)).toBe(
      "The whole recording: 1.80\u202fs with one burst",
    );
    expect(overviewHeading(framesOf([burst(0, 0), failed(1, 1, "sync")], [read]), 1.8)).toMatch(
      /with two bursts, 1 of them not read$/,
    );
    expect(overviewHeading(framesOf([failed(0, 0, "sync"), failed(1, 1, "check")], []), 1.8)).toMatch(
      /with two bursts, none of them read$/,
    );
  });

  it("counts a burst once that belongs to several telegrams", () => {
    const unproven = (identity: string) => telegram([0], identity, { verified: false });
    const frames = framesOf([burst(0, 0), burst(1, 1)], [unproven("aa"), unproven("bb"), telegram([1])]);
    expect(frames).toHaveLength(3);
    expect(overviewHeading(frames, 1.8)).toMatch(/with two bursts, 1 of them not read$/);
    expect(tenths(frames, 10, undefined).slice(0, 2)).toMatchObject([
      { bursts: 1, unread: 1 },
      { bursts: 1, unread: 0 },
    ]);
  });

  it("has tenths that hold every burst once and the strongest moment", () => {
    fc.assert(
      fc.property(drawnFrames, drawn, (frames, body) => {
        const ten = tenths(frames, 10, { ...body, toSeconds: 10 });
        expect(ten).toHaveLength(10);
        const bursts = new Set(frames.map(({ burst: { index } }) => index)).size;
        expect(ten.reduce((sum, tenth) => sum + tenth.bursts, 0)).toBe(bursts);
        const told = ten.map(({ strongest }) => strongest).filter((level) => level !== undefined);
        expect(Math.max(...told)).toBe(Math.max(...body.most));
      }),
    );
    expect(tenths([], 10, undefined).every(({ strongest }) => strongest === undefined)).toBe(true);
  });

  it.each([
    [100, "from"],
    [90, "from"],
    [110, "from"],
    [300, "to"],
    [320, "to"],
    [200, "between"],
    [70, undefined],
    [330, undefined],
  ] as const)("is held at pixel %d of a brush from 100 to 300 by %s", (x, grip) => {
    expect(gripAt(x, [100, 300], 22)).toBe(grip);
  });

  it.each([
    [105, "between"],
    [99, "from"],
    [111, "to"],
    [70, undefined],
  ] as const)("is held at pixel %d of a narrow brush from 100 to 110 by %s", (x, grip) => {
    expect(gripAt(x, [100, 110], 22)).toBe(grip);
  });
});
