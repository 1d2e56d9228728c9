import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type Bounds,
  between,
  boundsOf,
  closeUp,
  decimalsFor,
  fitted,
  isSame,
  isWhole,
  moved,
  rangeWords,
  showing,
  type TimeRange,
  wholeRange,
  zoomed,
} from "../../web/model/recording/range.ts";
import { CLOSER, rangeByKey } from "../../web/model/recording/rangeKeys.ts";
import { timeTicks } from "../../web/model/recording/timeTicks.ts";

const BOUNDS: Bounds = { seconds: 2, leastSeconds: 0.001 };
const range = (fromSeconds: number, toSeconds: number): TimeRange => ({ fromSeconds, toSeconds });
const lengthOf = ({ fromSeconds, toSeconds }: TimeRange) => toSeconds - fromSeconds;

/** From a moment at a fast rate to an hour at a slow one. */
const bounds = fc
  .tuple(fc.double({ min: 0.01, max: 3600, noNaN: true }), fc.double({ min: 1e4, max: 2e7, noNaN: true }))
  .map(([seconds, rate]) => boundsOf(seconds, rate));
const shares = fc.tuple(fc.double({ min: 0, max: 1, noNaN: true }), fc.double({ min: 0, max: 1, noNaN: true }));
const inside = bounds.chain((all) =>
  shares.map(([a, b]) => ({ all, one: between(a * all.seconds, b * all.seconds, all) })),
);

function expectInside(one: TimeRange, { seconds, leastSeconds }: Bounds): void {
  expect(one.fromSeconds).toBeGreaterThanOrEqual(0);
  expect(one.toSeconds).toBeLessThanOrEqual(seconds);
  expect(lengthOf(one)).toBeGreaterThanOrEqual(leastSeconds - 1e-12 * seconds);
}

function expectNear(one: TimeRange, other: TimeRange, seconds: number): void {
  expect(Math.abs(one.fromSeconds - other.fromSeconds)).toBeLessThanOrEqual(seconds);
  expect(Math.abs(one.toSeconds - other.toSeconds)).toBeLessThanOrEqual(seconds);
}

describe("a range of a recording", () => {
  it("stays inside and no shorter than its least, whatever is done with it", () => {
    const factor = fc.double({ min: 0.001, max: 1000, noNaN: true });
    fc.assert(
      fc.property(inside, shares, factor, ({ all, one }, [a, b], by) => {
        const part = range(a * all.seconds, (a + b / 10) * all.seconds);
        const far = range((10 * a - 5) * all.seconds, (10 * a - 5 + 3 * b) * all.seconds);
        expectInside(one, all);
        for (const next of [
          fitted(far, all),
          zoomed(one, by, a * all.seconds, all),
          moved(one, 10 * a - 5, all),
          showing(one, part, all),
          closeUp(part, all),
          between(far.toSeconds, far.fromSeconds, all),
        ]) {
          expectInside(next, all);
        }
      }),
    );
  });

  it("that fits already is left as it is", () => {
    fc.assert(
      fc.property(inside, ({ all, one }) => {
        expectNear(fitted(one, all), one, 1e-12 * all.seconds);
        expect(isSame(moved(one, 0, all), fitted(one, all))).toBe(true);
        expectNear(between(one.toSeconds, one.fromSeconds, all), one, 1e-12 * all.seconds);
        expect(showing(one, one, all)).toBe(one);
      }),
    );
  });

  it("is cut to the recording, widened about its middle, or pushed inside with its length", () => {
    expect(fitted(range(-1, 5), BOUNDS)).toEqual(wholeRange(BOUNDS));
    expect(fitted(range(1, 1), BOUNDS)).toEqual(range(0.9995, 1.0005));
    expect(fitted(range(-0.5, 0.5), BOUNDS)).toEqual(range(0, 1));
    expect(fitted(range(1.75, 2.25), BOUNDS)).toEqual(range(1.5, 2));
  });

  it("keeps what is under the pointer where it is while one goes closer or wider inside", () => {
    fc.assert(
      fc.property(inside, fc.double({ min: 0.05, max: 20, noNaN: true }), shares, ({ all, one }, factor, [share]) => {
        const at = one.fromSeconds + share * lengthOf(one);
        const next = zoomed(one, factor, at, all);
        // At an end of the recording something has to move.
        if (next.fromSeconds === 0 || next.toSeconds === all.seconds) return;
        const moves = Math.abs((at - next.fromSeconds) / lengthOf(next) - share);
        expect(moves).toBeLessThan(1e-6 + (1e-12 * all.seconds) / lengthOf(next));
        expect(lengthOf(next) / Math.max(all.leastSeconds, factor * lengthOf(one))).toBeCloseTo(1, 6);
      }),
    );
  });

  it("reaches the whole recording and comes back out of the closest look by the same steps", () => {
    let one = wholeRange(BOUNDS);
    for (let i = 0; i < 40; i++) one = zoomed(one, CLOSER, 0.7, BOUNDS);
    expect(lengthOf(one)).toBeCloseTo(BOUNDS.leastSeconds, 12);
    expect(one.fromSeconds).toBeLessThanOrEqual(0.7);
    expect(one.toSeconds).toBeGreaterThanOrEqual(0.7);
    for (let i = 0; i < 40; i++) one = zoomed(one, 1 / CLOSER, 0.7, BOUNDS);
    expect(isWhole(one, BOUNDS)).toBe(true);
  });

  it("shows a part with the length it has, or is made long enough for it", () => {
    expect(showing(range(0, 0.5), range(1, 1.1), BOUNDS)).toEqual(range(expect.closeTo(0.8), expect.closeTo(1.3)));
    expect(showing(range(0, 0.05), range(1, 1.1), BOUNDS)).toEqual(range(expect.closeTo(0.99), expect.closeTo(1.11)));
    fc.assert(
      fc.property(inside, shares, ({ all, one }, [a, b]) => {
        const part = range(a * b * all.seconds, b * all.seconds);
        for (const next of [showing(one, part, all), closeUp(part, all)]) {
          expect(next.fromSeconds).toBeLessThanOrEqual(part.fromSeconds + 1e-9);
          expect(next.toSeconds).toBeGreaterThanOrEqual(part.toSeconds - 1e-9);
        }
      }),
    );
  });

  it("close to a part has a little of what is around it", () => {
    expect(closeUp(range(1, 1.1), BOUNDS)).toEqual(range(expect.closeTo(0.985), expect.closeTo(1.115)));
  });

  it("has sixteen samples at least, and no more than a short recording has", () => {
    expect(boundsOf(2, 1e6)).toEqual({ seconds: 2, leastSeconds: 16e-6 });
    expect(boundsOf(1e-5, 1e6)).toEqual({ seconds: 1e-5, leastSeconds: 1e-5 });
  });

  it("is told with as many decimals as its length asks for", () => {
    expect(rangeWords(range(0.203, 0.662))).toBe("0.203 to 0.662\u202fs");
    expect(rangeWords(range(0, 1.8))).toBe("0.00 to 1.80\u202fs");
    expect(rangeWords(range(12, 312))).toBe("12 to 312\u202fs");
  });

  it.each([
    [10, 0],
    [1, 0],
    [0.5, 1],
    [0.1, 1],
    [4.1 - 4, 1], // a hair below a tenth
    [0.02, 2],
    [1e-6, 6],
    [1e-12, 9],
    [0, 0],
    [Number.NaN, 0],
  ])("steps of %d need %d decimals", (step, decimals) => {
    expect(decimalsFor(step)).toBe(decimals);
  });
});

describe("a key", () => {
  const one = range(0.5, 1);
  it.each<[string, TimeRange | "back" | undefined]>([
    ["+", range(0.625, 0.875)],
    ["=", range(0.625, 0.875)],
    ["-", range(0.25, 1.25)],
    ["−", range(0.25, 1.25)],
    ["0", range(0, 2)],
    ["Backspace", "back"],
    ["PageUp", range(0.25, 0.75)],
    ["PageDown", range(0.75, 1.25)],
    ["ArrowLeft", undefined],
    ["a", undefined],
  ])("%s leads from the middle of the first second to %j", (key, to) => {
    expect(rangeByKey(key, one, BOUNDS)).toEqual(to);
  });

  it("goes closer to where one looks", () => {
    expect(rangeByKey("+", one, BOUNDS, 0.5)).toEqual(range(0.5, 0.75));
    expect(rangeByKey("-", one, BOUNDS, 1)).toEqual(range(0, 1));
  });
});

describe("the ticks of a time axis", () => {
  it("are 1, 2 or 5 apart and ascend inside the range, with labels that neither touch nor leave the width", () => {
    fc.assert(
      fc.property(inside, fc.integer({ min: 120, max: 2400 }), ({ one }, widthPx) => {
        const ticks = timeTicks(one, widthPx);
        expect(ticks.length).toBeGreaterThan(0);
        const perPx = lengthOf(one) / widthPx;
        const at = ticks.map(({ x }) => one.fromSeconds + x * perPx);
        for (const { x } of ticks) {
          expect(x).toBeGreaterThanOrEqual(-1e-3);
          expect(x).toBeLessThanOrEqual(widthPx + 1e-3);
        }
        for (let i = 2; i < at.length; i++) {
          const [before, here] = [at[i - 1]! - at[i - 2]!, at[i]! - at[i - 1]!];
          expect(here / before).toBeCloseTo(1, 3);
          const lead = here / 10 ** Math.floor(Math.log10(here) + 1e-6);
          expect([1, 2, 5].some((wanted) => Math.abs(lead - wanted) < 1e-3)).toBe(true);
        }
        const labelled = ticks.filter(({ label }) => label !== "");
        let end = 0;
        for (const { x, label } of labelled) {
          expect(x - 4 * label.length).toBeGreaterThanOrEqual(end);
          end = x + 4 * label.length;
        }
        expect(end).toBeLessThanOrEqual(widthPx);
        expect(new Set(labelled.map(({ label }) => label)).size).toBe(labelled.length);
      }),
    );
  });

  it("are labelled with the second they stand for", () => {
    fc.assert(
      fc.property(inside, fc.integer({ min: 120, max: 2400 }), ({ one }, widthPx) => {
        for (const { x, label } of timeTicks(one, widthPx)) {
          if (label === "") continue;
          const seconds = one.fromSeconds + (x / widthPx) * lengthOf(one);
          expect(Math.abs(Number(label) - seconds)).toBeLessThan(1e-9 + 1e-4 * lengthOf(one));
        }
      }),
    );
  });

  it("of two seconds are told in tenths where there is room", () => {
    expect(timeTicks(wholeRange(BOUNDS), 900).map(({ label }) => label)).toEqual([
      "", // has no room left of the drawing
      ...["0.2", "0.4", "0.6", "0.8", "1.0", "1.2", "1.4", "1.6", "1.8"],
      "",
    ]);
  });
});
