import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { firstView, type RecordingView, searchOf, viewOf } from "../../web/model/recording/address.ts";
import { ORDERS } from "../../web/model/recording/lineOrder.ts";
import { between, boundsOf, type TimeRange } from "../../web/model/recording/range.ts";

const BOUNDS = { seconds: 2, leastSeconds: 0.001 };
const range = (fromSeconds: number, toSeconds: number): TimeRange => ({ fromSeconds, toSeconds });
const lengthOf = ({ fromSeconds, toSeconds }: TimeRange) => toSeconds - fromSeconds;

const bounds = fc
  .tuple(fc.double({ min: 0.01, max: 3600, noNaN: true }), fc.double({ min: 1e4, max: 2e7, noNaN: true }))
  .map(([seconds, rate]) => boundsOf(seconds, rate));
const share = fc.double({ min: 0, max: 1, noNaN: true });
const frameId = fc.oneof(
  fc.nat(9999).map(String),
  fc.tuple(fc.nat(99), fc.integer({ min: 2, max: 9 })).map(([a, b]) => `${a}.${b}`),
);
const name = fc.string({ minLength: 1, maxLength: 20, unit: "grapheme" });
const views = bounds.chain((all) =>
  fc.record({
    all: fc.constant(all),
    view: fc.record({
      range: fc.tuple(share, share).map(([a, b]) => between(a * all.seconds, b * all.seconds, all)),
      frame: fc.option(frameId, { nil: undefined }),
      field: fc.option(fc.nat(4095), { nil: undefined }),
      cursorSeconds: fc.option(
        share.map((at) => at * all.seconds),
        { nil: undefined },
      ),
      marks: fc
        .array(fc.record({ name, atSeconds: share.map((at) => at * all.seconds) }), { maxLength: 7 })
        .map((marks) => marks.filter((mark, i) => marks.findIndex((one) => one.name === mark.name) === i)),
      order: fc.constantFrom(...ORDERS),
      lines: fc.array(name, { maxLength: 5 }),
      hiddenLines: fc.array(name, { maxLength: 5 }),
      hiddenBands: fc.array(name, { maxLength: 5 }),
      find: fc.string({ maxLength: 60 }),
      frequency: fc.boolean(),
    }),
  }),
);

describe("the address of a view", () => {
  it("leads back to the view, times to a thousandth of what is shown, and then stays the same", () => {
    fc.assert(
      fc.property(views, ({ all, view }) => {
        const again = viewOf(searchOf(view, all), all);
        const slack = lengthOf(view.range) / 1000 + 1e-12 * all.seconds;
        expect(Math.abs(again.range.fromSeconds - view.range.fromSeconds)).toBeLessThanOrEqual(slack);
        expect(Math.abs(again.range.toSeconds - view.range.toSeconds)).toBeLessThanOrEqual(slack);
        expect(again.frame).toBe(view.frame);
        // A field is one of a frame's; without a frame there is none.
        expect(again.field).toBe(view.frame === undefined ? undefined : view.field);
        expect({ ...again, ...UNTOLD }).toEqual({ ...view, ...UNTOLD });
        // Marks and cursor to a hundredth of a microsecond.
        const near = (a: number | undefined, b: number | undefined) =>
          expect(Math.abs((a ?? 0) - (b ?? 0))).toBeLessThanOrEqual(1e-8);
        near(again.cursorSeconds, view.cursorSeconds);
        expect(again.marks.map((mark) => mark.name)).toEqual(view.marks.map((mark) => mark.name));
        for (const [i, mark] of again.marks.entries()) near(mark.atSeconds, view.marks[i]?.atSeconds);
        expect(searchOf(viewOf(searchOf(again, all), all), all)).toBe(searchOf(again, all));
      }),
    );
  });

  it("is empty for what a recording opens with, and readable for all else", () => {
    const first = firstView(BOUNDS);
    const of = (more: Partial<RecordingView>) => searchOf({ ...first, ...more }, BOUNDS);
    expect(of({})).toBe("");
    expect(of({ frame: "4" })).toBe("?v=2&sel=frame.4");
    expect(of({ frame: "4.2", field: 32, range: range(1.203, 1.231) })).toBe(
      "?v=2&t=1.20300s..1.23100s&sel=frame.4.2.bit32",
    );
    expect(
      of({
        cursorSeconds: 0.5,
        marks: [{ name: "A", atSeconds: 0.25 }],
        order: "failures",
        hiddenBands: ["the bits"],
      }),
    ).toBe("?v=2&at=0.5000s&mark=A@0.2500s&order=failures&without=the+bits");
    expect(of({ order: "by hand", lines: ["sensor 3a51c0de"], find: "pressure > 250", frequency: true })).toBe(
      "?v=2&order=by-hand&line=sensor+3a51c0de&find=pressure+%3E+250&frequency=shown",
    );
  });

  const whole = { fromSeconds: 0, toSeconds: 2 };
  // Every form that was ever given out. Lines are added here, never taken away.
  it.each<[search: string, view: Partial<RecordingView>]>([
    ["", {}],
    ["?v=1&t=0.5s..1s&sel=frame.4", { range: range(0.5, 1), frame: "4" }],
    ["?v=1&t=1.20300s..1.23100s&sel=frame.4.2", { range: range(1.203, 1.231), frame: "4.2" }],
    ["?v=1&sel=frame.12", { frame: "12" }],
    ["?v=1&t=0.5s..9s", { range: range(0.5, 2) }],
    ["?v=2&t=0.5s..1s&sel=frame.4.bit32", { range: range(0.5, 1), frame: "4", field: 32 }],
    [
      "?v=2&at=0.5000s&mark=A@0.2500s&mark=wake@1.0000s",
      {
        cursorSeconds: 0.5,
        marks: [
          { name: "A", atSeconds: 0.25 },
          { name: "wake", atSeconds: 1 },
        ],
      },
    ],
    [
      "?v=2&order=by-hand&line=b&line=a&without-line=a&without=the+bits&find=3a51&frequency=shown",
      {
        order: "by hand",
        lines: ["b", "a"],
        hiddenLines: ["a"],
        hiddenBands: ["the bits"],
        find: "3a51",
        frequency: true,
      },
    ],
  ])("%s still opens what it was given out for", (search, view) => {
    expect(viewOf(search, BOUNDS)).toEqual({ ...firstView(BOUNDS), ...view });
  });

  it.each([
    "?v=3&t=0.5s..1s&sel=frame.4",
    "?v=__proto__&t=0.5s..1s",
    "?t=0.5s..1s",
    "?v=1&t=1s..0.5s",
    "?v=1&t=1s..1s",
    "?v=1&t=2s..3s",
    "?v=1&t=-1s..1s",
    "?v=1&t=0.5..1",
    "?v=1&t=NaNs..1s&sel=frame.x",
    "?v=1&sel=frame.",
    "?v=2&at=3s&mark=A@9s&mark=@1s&mark=B&order=sideways&frequency=no",
  ])("%s opens what a recording opens with", (search) => {
    expect(viewOf(search, BOUNDS)).toEqual({ ...firstView(BOUNDS), range: whole });
  });

  it("never leads out of the recording", () => {
    const number = fc.double({ min: -10, max: 1e4, noNaN: true }).map((value) => value.toFixed(6));
    const times = fc.oneof(
      fc.string(),
      fc.tuple(number, number).map(([a, b]) => `${a}s..${b}s`),
    );
    fc.assert(
      fc.property(bounds, times, fc.constantFrom("1", "2"), number, (all, t, v, at) => {
        const view = viewOf(`?${new URLSearchParams({ v, t, at: `${at}s`, mark: `A@${at}s` })}`, all);
        expect(view.range.fromSeconds).toBeGreaterThanOrEqual(0);
        expect(view.range.toSeconds).toBeLessThanOrEqual(all.seconds);
        for (const moment of [view.cursorSeconds, ...view.marks.map((mark) => mark.atSeconds)]) {
          expect(moment ?? 0).toBeGreaterThanOrEqual(0);
          expect(moment ?? 0).toBeLessThanOrEqual(all.seconds);
        }
      }),
    );
  });

  it("takes no more marks than can be told apart, and no longer search than somebody types", () => {
    const marks = Array.from({ length: 12 }, (_, i) => `mark=m${i}@0.${i + 10}s`).join("&");
    expect(viewOf(`?v=2&${marks}`, BOUNDS).marks).toHaveLength(7);
    expect(viewOf(`?v=2&${marks}&mark=A@0.1s&mark=B@0.2s&mark=A@0.3s`, BOUNDS).marks).toHaveLength(9);
    expect(viewOf(`?v=2&find=${"x".repeat(500)}`, BOUNDS).find).toHaveLength(200);
  });
});

/** What is held against each other by itself. */
const UNTOLD = {
  range: undefined,
  frame: undefined,
  field: undefined,
  cursorSeconds: undefined,
  marks: undefined,
  lines: undefined,
};
