import { describe, expect, it } from "vitest";
import { crossing, curvesSvg } from "../bench/curves.ts";

const points = (...rights: number[]) => rights.map((right, i) => ({ db: 8 + i, right, of: 10 }));

describe("where a measured curve crosses a share", () => {
  it("is told straight between two points", () => {
    expect(crossing({ points: points(0, 4, 8, 10) }, 0.9)).toBeCloseTo(10.5, 9);
  });

  it("counts a point that fell back together with the one before", () => {
    // 9 and 8 are one level of 8.5; the crossing lies between that and 10.
    expect(crossing({ points: points(0, 9, 8, 10) }, 0.9)).toBeCloseTo(10 + 0.5 / 1.5, 9);
  });

  it("is not told of a curve that does not get there, or that is over it from the start", () => {
    expect(crossing({ points: points(0, 3, 8) }, 0.9)).toBeUndefined();
    expect(crossing({ points: points(9, 10) }, 0.9)).toBeUndefined();
  });
});

it("a panel shows each curve, its theory and its names", () => {
  const svg = curvesSvg("two & more", [
    {
      title: "one & two",
      curves: [{ name: "a < b", points: points(0, 5, 10) }],
      theory: { what: "a straight line", success: (db) => (db - 8) / 2 },
    },
  ]);
  expect(svg).toContain("<title>two &amp; more</title>");
  expect(svg).toContain("one &amp; two");
  expect(svg).toContain("a &lt; b");
  expect(svg).toContain("theory: a straight line");
  const numbers = [...svg.matchAll(/ d="M([\d.]+),([\d.]+)L([\d.]+),([\d.]+)L([\d.]+),([\d.]+)"/g)].map((m) =>
    m.slice(1).map(Number),
  );
  // 0, 5 and 10 of 10 at 8, 9 and 10 dB: from the lower left corner through the middle to the upper right.
  expect(numbers).toEqual([[44, 180, 216, 105, 388, 30]]);
  expect(svg).not.toContain("NaN");
});
