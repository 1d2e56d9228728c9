import type { BurstReading } from "./burstReading.ts";
import type { FramePlan } from "./frameChecks.ts";

/** A reading as it goes from one thread to another: plans by their place in the list that both have. */
export type PackedReading = { readonly packed: unknown };

/** Stands for a plan. */
interface PlanAt {
  readonly planAt: number;
}

/** @throws RangeError for a plan that is not in the list. */
export function packReading(reading: BurstReading, plans: readonly FramePlan[]): PackedReading {
  const places = new Map<unknown, PlanAt>(plans.map((plan, planAt) => [plan, { planAt }]));
  return {
    packed: mapped(reading, (value) => {
      const place = places.get(value);
      if (!place && "layout" in value && "columns" in value) throw new RangeError("a plan that is not in the list");
      return place;
    }),
  };
}

/** The reading that was packed, with the plans of this list. */
export function unpackReading({ packed }: PackedReading, plans: readonly FramePlan[]): BurstReading {
  return mapped(packed, (value) => ("planAt" in value ? plans[value.planAt as number] : undefined)) as BurstReading;
}

/** The same arrays and objects all the way down, but for those that `replace` has something else for. */
function mapped(value: unknown, replace: (value: object) => unknown): unknown {
  if (typeof value !== "object" || value === null || ArrayBuffer.isView(value)) return value;
  const other = replace(value);
  if (other !== undefined) return other;
  if (Array.isArray(value)) return value.map((one) => mapped(one, replace));
  return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, mapped(one, replace)]));
}
