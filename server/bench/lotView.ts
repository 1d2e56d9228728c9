import { grubbs } from "./statistics/grubbs.ts";
import { robustView } from "./statistics/robust.ts";
import { toleranceInterval } from "./statistics/tolerance.ts";

/** The lot as a whole, by the mean error of each specimen. */
export interface LotView {
  readonly count: number;
  readonly medianKpa: number | null;
  readonly spreadKpa: number | null;
  readonly odd: readonly { readonly number: number; readonly by: string; readonly says: string }[];
  readonly tolerance: {
    readonly fromKpa: number;
    readonly toKpa: number;
    readonly share: number;
    readonly confidence: number;
    readonly factor: number;
    readonly says: string;
  } | null;
  readonly says: readonly string[];
}

const SHARE = 0.95;
const CONFIDENCE = 0.95;
const ALPHA = 0.05;
/** Fewer tell nothing about the rest. */
const LEAST = 5;

/** @param errors Of the specimens that count and were read. */
export function lotView(errors: readonly { readonly number: number; readonly errorKpa: number }[]): LotView {
  const count = errors.length;
  if (count === 0) {
    return { count, medianKpa: null, spreadKpa: null, odd: [], tolerance: null, says: ["No specimen was read yet."] };
  }
  const values = errors.map(({ errorKpa }) => errorKpa);
  const robust = robustView(values);
  const says = [
    `The middle of ${count} specimens is ${signed(robust.median)} kPa off the gauge; half of them lie within ${robust.mad.toFixed(2)} kPa of it (spread ${robust.scaledMad.toFixed(2)} kPa).`,
  ];
  if (count < LEAST) {
    const few = `Fewer than ${LEAST} specimens tell nothing about which is odd, nor about the lot.`;
    return {
      count,
      medianKpa: robust.median,
      spreadKpa: robust.scaledMad,
      odd: [],
      tolerance: null,
      says: [...says, few],
    };
  }
  const odd = robust.odd.map((index) => ({
    number: errors[index]!.number,
    by: "robust z",
    says: `Specimen ${errors[index]!.number} is ${signed(values[index]!)} kPa off, ${Math.abs(robust.z![index]!).toFixed(1)} spreads from the middle (3.5 asked: robust z).`,
  }));
  const farthest = grubbs(values, ALPHA, 2);
  if (farthest?.isOdd) {
    const { number } = errors[farthest.index]!;
    const by = `G = ${farthest.statistic.toFixed(2)}, above ${farthest.critical.toFixed(2)} for ${count} (Grubbs, two sides, 5 %)`;
    const known = odd.find((one) => one.number === number);
    if (known) {
      known.by = "robust z and Grubbs";
      known.says += ` Grubbs names it too: ${by}.`;
    } else {
      odd.push({ number, by: "Grubbs", says: `Specimen ${number} is the farthest off: ${by}.` });
    }
  }
  if (odd.length === 0) says.push("No specimen is odd among the others, neither by robust z nor by Grubbs.");
  if (robust.mad === 0) says.push("Half of them or more agree exactly, so that robust z has no scale.");
  return {
    count,
    medianKpa: robust.median,
    spreadKpa: robust.scaledMad,
    odd,
    tolerance: toleranceOf(values, odd.length),
    says,
  };
}

function toleranceOf(values: readonly number[], odd: number): LotView["tolerance"] {
  const { from, to, factor } = toleranceInterval(values, SHARE, CONFIDENCE);
  const doubt =
    odd > 0
      ? ` With ${odd} odd ${odd === 1 ? "one" : "ones"} among them they are hardly normal: take it as a rough figure.`
      : "";
  return {
    fromKpa: from,
    toKpa: to,
    share: SHARE,
    confidence: CONFIDENCE,
    factor,
    says: `With 95 % confidence this gauge sees 95 % of such sensors with a mean error from ${signed(from)} to ${signed(to)} kPa (mean ± ${factor.toFixed(2)} s, normal; its own error comes on top).${doubt}`,
  };
}

function signed(kpa: number): string {
  const text = Math.abs(kpa).toFixed(2);
  return Number(text) === 0 ? text : `${kpa < 0 ? "−" : "+"}${text}`;
}
