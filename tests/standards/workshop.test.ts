import { linearRegression, rSquared, sampleCorrelation } from "simple-statistics";
import { describe, expect, it } from "vitest";
import { crcOfBits } from "../../decoders/checks/crc.ts";
import { lnCorrelationTail } from "../../decoders/statistics/correlationTail.ts";
import { adjustedPValues } from "../../decoders/statistics/falseDiscovery.ts";
import { fitLine } from "../../decoders/statistics/fitLine.ts";
import { findCrcs } from "../../decoders/workshop/crcSearch.ts";
import { divisorsOf, factorsOf, numberOf, polynomialOf } from "../../decoders/workshop/gf2.ts";
import { entropy, mutualInformation } from "../../decoders/workshop/movement.ts";
import { rowsOf } from "../../decoders/workshop/rows.ts";
import { maskOf, PUBLISHED_SEQUENCES } from "../../decoders/workshop/whiten.ts";
import { bitsOfBytes, bitsOfHex, hexOf } from "./bitText.ts";
import { crcCatalogue } from "./crcCatalogue.ts";

/** Octets with their lowest bit first, as they go on air in HDLC. */
const lowestFirst = (hex: string) => {
  const bits = bitsOfHex(hex);
  for (let i = 0; i < bits.length; i += 8) bits.subarray(i, i + 8).reverse();
  return bits;
};

describe("a published worked example of an unknown check (Mathematics Stack Exchange, question 920847)", () => {
  const [one, other] = ["EE 00 00 00 00 01 20 13 10", "EE 00 00 00 00 03 20 A3 23"] as const;
  const difference = lowestFirst(one).map((bit, i) => bit ^ lowestFirst(other)[i]!);

  it("has the difference that is given there, with its factors", () => {
    expect(hexOf(bitsOfHex(one).map((bit, i) => bit ^ bitsOfHex(other)[i]!)).slice(-11)).toBe("02 00 B0 33");
    // x², x + 1, x³ + x + 1, x⁴ + x³ + x² + x + 1, x⁵ + x⁴ + x³ + x + 1, and the one of power 15.
    expect(factorsOf(numberOf(polynomialOf(difference)))).toEqual([2n, 2n, 3n, 11n, 31n, 59n, 0xf01fn]);
  });

  it("leaves 0x11021 among the divisors of 16 bits", () => {
    expect(divisorsOf(factorsOf(numberOf(polynomialOf(difference))), 16, 16)).toContain(0x11021n);
  });

  it("is CRC-16/IBM-SDLC over the seven octets, sent with the low octet first", () => {
    const model = { width: 16, poly: 0x1021n, init: 0xffffn, refin: true, refout: true, xorout: 0xffffn };
    expect(crcOfBits(model, bitsOfHex("EE 00 00 00 00 01 20"))).toBe(0x1013n);
    expect(crcOfBits(model, bitsOfHex("EE 00 00 00 00 03 20"))).toBe(0x23a3n);
  });
});

/** Numbers that are as good as chance and the same every time. @source Numerical Recipes, "quick and dirty" generators. */
function octets(count: number, seed: number): Uint8Array {
  let state = seed >>> 0;
  return Uint8Array.from({ length: count }, () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state >>> 24;
  });
}

const bitsOfValue = (value: bigint, width: number) =>
  Uint8Array.from({ length: width }, (_, i) => Number((value >> BigInt(width - 1 - i)) & 1n));

describe("every model of the catalogue up to 32 bits", () => {
  it.each(crcCatalogue.filter(([, width]) => width <= 32).map((row) => [row[0], row] as const))(
    "%s is found from twelve messages of eight octets, and agrees with twelve others",
    (_, [, width, poly, init, refin, refout, xorout]) => {
      const model = { width, poly, init, refin, refout, xorout };
      const frames = Array.from({ length: 24 }, (_, i) => {
        const message = bitsOfBytes(octets(8, 77 + 1000 * i));
        return Uint8Array.from([...message, ...bitsOfValue(crcOfBits(model, message), width)]);
      });
      const rows = rowsOf(frames.slice(0, 12));
      const free = new Uint8Array(64 + width).fill(0);
      free.fill(1, 64);
      const [found] = findCrcs(rows, free, { count: 0 });
      expect(found?.check).toMatchObject({
        width,
        poly: `0x${poly.toString(16).padStart(Math.ceil(width / 4), "0")}`,
        at: 64,
      });
      const check = found!.check;
      const derived = {
        width,
        poly,
        init: BigInt(check.init),
        refin: check.refin,
        refout: check.refout,
        xorout: BigInt(check.xorout),
      };
      const [[first, count]] = check.covers as [[number, number]];
      for (const frame of frames.slice(12)) {
        const value = crcOfBits(derived, frame.subarray(first, first + count));
        expect(bitsOfValue(value, width)).toEqual(frame.subarray(64));
      }
    },
  );

  it("is not found where there is none", () => {
    const frames = Array.from({ length: 20 }, (_, i) => bitsOfBytes(octets(10, 5 + 31 * i)));
    expect(findCrcs(rowsOf(frames), new Uint8Array(80).fill(1), { count: 0 })).toEqual([]);
  });
});

it("the published whitening begins as its note says (DN509, section 3.3), also from its middle on", () => {
  const [, turned] = PUBLISHED_SEQUENCES;
  expect(hexOf(maskOf(turned!.whitening, 0, 32))).toBe("FF E1 1D 9A");
  expect(hexOf(maskOf(turned!.whitening, 16, 16))).toBe("1D 9A");
  expect(hexOf(maskOf(turned!.whitening, -8, 24))).toBe("00 FF E1");
});

// NIST StRD, linear regression, "Norris": 36 observations, certified values. Data and values from memory.
const norris = [
  [0.2, 0.1],
  [337.4, 338.8],
  [118.2, 118.1],
  [884.6, 888.0],
  [10.1, 9.2],
  [226.5, 228.1],
  [666.3, 668.5],
  [996.3, 998.5],
  [448.6, 449.1],
  [777.0, 778.9],
  [558.2, 559.2],
  [0.4, 0.3],
  [0.6, 0.1],
  [775.5, 778.1],
  [666.9, 668.8],
  [338.0, 339.3],
  [447.5, 448.9],
  [11.6, 10.8],
  [556.0, 557.7],
  [228.1, 228.3],
  [995.8, 998.0],
  [887.6, 888.8],
  [120.2, 119.6],
  [0.3, 0.3],
  [0.3, 0.6],
  [556.8, 557.6],
  [339.1, 339.3],
  [887.2, 888.0],
  [999.0, 998.5],
  [779.0, 778.9],
  [11.1, 10.2],
  [118.3, 117.6],
  [229.2, 228.9],
  [669.1, 668.4],
  [448.9, 449.2],
  [0.5, 0.2],
].map(([x, y]) => ({ x: x!, y: y! }));

describe("straight lines", () => {
  it("have the certified values of the Norris data", () => {
    const line = fitLine(norris);
    expect(line.slope).toBeCloseTo(1.00211681802045, 11);
    expect(line.meanY - line.slope * line.meanX).toBeCloseTo(-0.262323073774029, 9);
    expect(line.residual).toBeCloseTo(0.884796396144373, 10);
  });

  it("are those of another library", () => {
    const pairs = norris.map(({ x, y }) => [x, y]);
    const theirs = linearRegression(pairs);
    const line = fitLine(norris);
    expect(line.slope).toBeCloseTo(theirs.m, 11);
    expect(line.meanY - line.slope * line.meanX).toBeCloseTo(theirs.b, 9);
    expect(rSquared(pairs, (x) => theirs.m * x + theirs.b)).toBeCloseTo(0.999993745883712, 12);
    const r = sampleCorrelation(
      norris.map(({ x }) => x),
      norris.map(({ y }) => y),
    );
    expect(r ** 2).toBeCloseTo(0.999993745883712, 12);
  });
});

it("false discoveries are held down as in the worked example of Benjamini and Hochberg, 1995 (p-values from memory)", () => {
  const p = [
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1,
  ];
  const adjusted = adjustedPValues(p);
  expect(adjusted.filter((q) => q <= 0.05)).toHaveLength(4);
  const wanted = [
    0.0015, 0.003, 0.0095, 0.0356, 0.0603, 0.0639, 0.0639, 0.0645, 0.0765, 0.486, 0.5812, 0.7149, 0.7532, 0.8132, 1,
  ];
  for (const [i, q] of wanted.entries()) expect(adjusted[i]).toBeCloseTo(q, 4);
  const turned = adjustedPValues(p.toReversed());
  expect(turned.toReversed()).toEqual(adjusted);
});

// Critical values of the correlation coefficient, two-sided: any handbook of statistics (from memory).
it.each([
  [5, 0.01, 0.959],
  [8, 0.01, 0.834],
  [10, 0.01, 0.765],
  [20, 0.01, 0.561],
  [30, 0.01, 0.463],
  [10, 0.05, 0.632],
  [20, 0.05, 0.444],
])("of %i points without relation, %d correlate better than %d", (count, chance, r) => {
  expect(Math.exp(lnCorrelationTail(r, count))).toBeCloseTo(chance, 3);
  expect(lnCorrelationTail(-r, count)).toBeCloseTo(lnCorrelationTail(r, count), 12);
});

it("a chance too small for a number is still told", () => {
  // For two degrees of freedom the tail is 1 - r, in closed form.
  expect(lnCorrelationTail(1 - 1e-9, 4)).toBeCloseTo(Math.log(1e-9), 5);
  expect(lnCorrelationTail(0.99999999, 400)).toBeLessThan(-3000);
});

describe("information", () => {
  it("of a bit is Shannon's", () => {
    expect(entropy([0.5, 0.5])).toBe(1);
    expect(entropy([0.25, 0.75])).toBeCloseTo(0.811278, 6);
    expect(entropy([0.01, 0.99])).toBeCloseTo(0.080793, 6);
  });

  it("that two rows share is that of the joint table of the R package entropy, less the bias", () => {
    // Rows 0.2, 0.1, 0.15 and 0.1, 0.2, 0.25 of 2000: 0.060023 bits.
    const table = [
      [400, 200, 300],
      [200, 400, 500],
    ];
    const pairs = table.flatMap((row, a) => row.flatMap((count, b) => Array.from({ length: count }, () => [a, b])));
    const bias = 2 / (2 * 2000 * Math.LN2);
    const shared = mutualInformation(
      pairs.map(([a]) => a!),
      pairs.map(([, b]) => b!),
    );
    expect(shared).toBeCloseTo(0.060023 - bias, 5);
  });
});
