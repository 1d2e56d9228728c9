import type { Field } from "../layouts/schema.ts";

/** A scale and an offset as somebody who laid out a telegram would have chosen them. */
export interface Constants {
  readonly unit: NonNullable<Field["unit"]>;
  readonly scale: number;
  readonly offset: number;
  /** In the unit of the figures: kPa or °C. */
  readonly siScale: number;
  readonly siOffset: number;
  readonly reference: "gauge" | "absolute" | undefined;
  /** Nats: what it costs to tell these numbers. Round ones are cheap. */
  readonly cost: number;
  /** The same, and how much worse the points fit than with the best straight line. */
  readonly total: number;
}

/** What a telegram's step may be, the commonest first; common practice, no source. */
const STEPS = [
  1, 0.5, 2, 2.5, 0.25, 5, 0.1, 0.2, 10, 1.5, 0.75, 1.25, 3, 4, 0.4, 0.8, 0.6, 0.3, 0.05, 0.125, 1.2, 1.75, 3.5, 6, 8,
  1.6, 0.7, 0.9, 2.25, 2.75, 0.375, 0.625, 1.125, 1.375, 4.5, 7, 7.5,
] as const;

interface Unit {
  readonly unit: NonNullable<Field["unit"]>;
  readonly size: number;
  /** What it is at raw zero, in the unit of the figures, beside its size times the offset. */
  readonly zero: number;
  readonly cost: number;
  /** The factor by which steps of it differ from those above. */
  readonly step: number;
}

/** @source NIST SP 811, appendix B.8: 1 psi is 6.894 757 kPa; degrees Fahrenheit: its B.8 too. */
const UNITS: Readonly<Record<"pressure" | "temperature", readonly Unit[]>> = {
  pressure: [
    { unit: "kPa", size: 1, zero: 0, cost: 0, step: 1 },
    { unit: "psi", size: 6.894757, zero: 0, cost: 2, step: 1 },
    { unit: "psi", size: 6.894757, zero: 0, cost: 3, step: 0.1 },
  ],
  temperature: [
    { unit: "degC", size: 1, zero: 0, cost: 0, step: 1 },
    { unit: "degF", size: 5 / 9, zero: -160 / 9, cost: 3, step: 1 },
  ],
};

/** The scale and offset that somebody told, as those that are found here. */
export function constantsOf({
  quantity,
  unit,
  scale = 1,
  offset = 0,
  reference,
}: {
  readonly quantity: "pressure" | "temperature";
  readonly unit: Field["unit"];
  readonly scale: number | undefined;
  readonly offset: number | undefined;
  readonly reference: Field["reference"];
}): Constants {
  const plain = quantity === "pressure" ? "kPa" : "degC";
  const { size, zero } =
    unit === "bar"
      ? { size: 100, zero: 0 }
      : (UNITS[quantity].find((one) => one.unit === unit) ?? { size: 1, zero: 0 });
  return {
    unit: unit ?? plain,
    scale,
    offset,
    siScale: scale * size,
    siOffset: zero + offset * size - (reference === "absolute" ? AMBIENT_KPA : 0),
    reference: quantity === "pressure" ? (reference ?? "gauge") : undefined,
    cost: 0,
    total: 0,
  };
}

/** Of the standard atmosphere at sea level, which absolute pressures are taken to stand above. @source ISO 2533:1975. */
const AMBIENT_KPA = 101.325;

/** What a straight line through the points gives, and how surely. */
export interface Fit {
  readonly slope: number;
  readonly slopeSigma: number;
  readonly meanX: number;
  readonly meanY: number;
  readonly count: number;
  readonly residualSquares: number;
  /** Sum of squares of x about its mean. */
  readonly sxx: number;
}

/** A slope known no better than this has any constants. */
const VAGUE = 0.06;
/** How many standard deviations beside the best fit are still looked at. */
const WIDEST = 4;
/** Quantising leaves a part of a step that is no chance. */
const STEP_SHARE = 0.1;

/**
 * Pairs of scale and offset that the points allow, the likeliest first: how much worse they fit is weighed against how
 * much it costs to tell them. The best fit itself is among them, as the dearest.
 *
 * @param sign -1 where the field falls as the figure rises.
 */
export function plausibleConstants(fit: Fit, quantity: "pressure" | "temperature"): readonly Constants[] {
  const sign = Math.sign(fit.slope);
  const size = Math.abs(fit.slope);
  const sigma = Math.max(fit.slopeSigma, 0.001 * size);
  const found: Constants[] = [];
  const add = (constants: Omit<Constants, "total">) => {
    const total = constants.cost + worse(fit, constants.siScale, constants.siOffset);
    if (total < MOST_COST) found.push({ ...constants, total });
  };
  const units = sigma < VAGUE * size ? UNITS[quantity] : [];
  for (const { unit, size: unitSize, zero, cost, step } of units) {
    for (const [i, plain] of STEPS.entries()) {
      const scale = round(sign * plain * step);
      if (Math.abs(plain * step * unitSize - size) > WIDEST * sigma + 0.002 * size) continue;
      const siScale = scale * unitSize;
      const at = fit.meanY - siScale * fit.meanX; // what stands at raw zero
      const room = (WIDEST * Math.sqrt(fit.residualSquares / Math.max(1, fit.count - 2))) / Math.sqrt(fit.count);
      const near = room + STEP_SHARE * size;
      const stepCost = cost + 0.7 * Math.log2(1 + i);
      for (const { offset, cost: offsetCost } of offsetsNear((at - zero) / unitSize, near / unitSize, scale)) {
        const siOffset = zero + offset * unitSize;
        // What lies below the atmosphere is more often an absolute pressure than a gauge's with a round offset.
        const more = stepCost + offsetCost + (quantity === "pressure" && offset !== 0 ? OFFSET_COST : 0);
        add({ unit, scale, offset, siScale, siOffset, reference: ref(quantity, "gauge"), cost: more });
      }
      if (quantity !== "pressure") continue;
      for (const { offset, cost: offsetCost } of offsetsNear(
        (at + AMBIENT_KPA) / unitSize,
        (near + 3) / unitSize,
        scale,
      )) {
        const siOffset = offset * unitSize - AMBIENT_KPA;
        const more = stepCost + offsetCost + ABSOLUTE_COST;
        add({ unit, scale, offset, siScale, siOffset, reference: "absolute", cost: more });
      }
    }
  }
  const unit = quantity === "pressure" ? "kPa" : "degC";
  const digits = Math.max(0, 2 - Math.floor(Math.log10(sigma)));
  const slope = round(fit.slope, Math.min(8, digits));
  const offset = round(fit.meanY - slope * fit.meanX, 2);
  add({
    unit,
    scale: slope,
    offset,
    siScale: slope,
    siOffset: offset,
    reference: ref(quantity, "gauge"),
    cost: FREE_COST,
  });
  return found.sort((a, b) => a.total - b.total);
}

const OFFSET_COST = 2;
const ABSOLUTE_COST = 1.5;
const FREE_COST = 14;
const MOST_COST = 40;

function ref(quantity: "pressure" | "temperature", reference: "gauge"): "gauge" | undefined {
  return quantity === "pressure" ? reference : undefined;
}

/** Nats by which the points speak against these constants, beside the best straight line. */
function worse({ slope, meanX, meanY, count, residualSquares, sxx }: Fit, scale: number, offset: number): number {
  const shift = meanY - scale * meanX - offset;
  const more = (slope - scale) ** 2 * sxx + count * shift * shift;
  // A gauge is never so good that a hundredth of a step would count.
  const floor = residualSquares + count * (0.02 * slope) ** 2;
  return (count / 2) * Math.log1p(more / floor);
}

/** Round numbers within reach, and what they cost. */
function offsetsNear(
  middle: number,
  near: number,
  scale: number,
): readonly { readonly offset: number; readonly cost: number }[] {
  const found = new Map<number, number>();
  const grids: readonly (readonly [number, number])[] = [
    [50, 1],
    [10, 2],
    [5, 3],
    [Math.abs(scale) * 10, 4],
    [1, 5],
    [Math.abs(scale), 6],
    [0.5, 7],
    [0.1, 9],
  ];
  if (Math.abs(middle) <= near) found.set(0, 0);
  for (const [grid, cost] of grids) {
    const first = Math.ceil((middle - near) / grid);
    const last = Math.floor((middle + near) / grid);
    if (last - first > 12) continue;
    for (let k = first; k <= last; k++) {
      const offset = round(k * grid);
      if (!found.has(offset)) found.set(offset, cost);
    }
  }
  return [...found].map(([offset, cost]) => ({ offset, cost }));
}

function round(value: number, digits = 6): number {
  const rounded = Number(value.toFixed(digits));
  return rounded === 0 ? 0 : rounded;
}
