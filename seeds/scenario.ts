import { builtinLayouts } from "../decoders/layouts/builtin.ts";
import { type Complaint, complaintsOf, shown } from "../decoders/layouts/complaint.ts";
import type { Layout } from "../decoders/layouts/schema.ts";
import { parseLayout } from "../decoders/layouts/validate.ts";
import { checkOrder } from "./encode/check-value.ts";
import { scenarioComplaints } from "./scenario-complaints.ts";
import { type ScenarioFile, ScenarioShape } from "./scenario-shape.ts";

/** A scenario whose every reference was followed and found. */
export interface Scenario extends Omit<ScenarioFile, "layouts" | "ambientKpa"> {
  readonly ambientKpa: number;
  /** Every layout that its sensors speak, by id. */
  readonly layoutById: ReadonlyMap<string, Layout>;
  /** Ids of the layouts that the decoder is not given. */
  readonly unknownIds: ReadonlySet<string>;
}

export type ParsedScenario =
  | { readonly ok: true; readonly scenario: Scenario }
  | { readonly ok: false; readonly complaints: readonly Complaint[] };

/**
 * A scenario from the JSON value of a scenario file, or every complaint about it, each with its key's path.
 *
 * @param input Any JSON value. Never throws.
 */
export function parseScenario(input: unknown): ParsedScenario {
  const parsed = ScenarioShape.safeParse(input);
  if (!parsed.success) return { ok: false, complaints: complaintsOf(parsed.error, input) };
  const { layouts, ...rest } = parsed.data;
  const own = ownLayouts(layouts ?? []);
  if (own.complaints.length > 0) return { ok: false, complaints: own.complaints };
  const layoutById = new Map([...builtinLayouts, ...own.layouts].map((layout) => [layout.id, layout]));
  const scenario = { ...rest, ambientKpa: rest.ambientKpa ?? SEA_LEVEL_KPA, layoutById, unknownIds: own.unknownIds };
  const complaints = scenarioComplaints(scenario);
  return complaints.length > 0 ? { ok: false, complaints } : { ok: true, scenario };
}

/** The standard atmosphere at sea level. @source ISO 2533. */
const SEA_LEVEL_KPA = 101.325;

function ownLayouts(given: NonNullable<ScenarioFile["layouts"]>) {
  const layouts: Layout[] = [];
  const unknownIds = new Set<string>();
  const complaints: Complaint[] = [];
  given.forEach(({ layout: input, unknown }, i) => {
    const path = `layouts[${i}].layout`;
    const parsed = parseLayout(input);
    if (!parsed.ok) {
      complaints.push(
        ...parsed.complaints.map((one) => ({ ...one, path: `${path}${one.path ? `.${one.path}` : ""}` })),
      );
      return;
    }
    const { layout } = parsed;
    if ([...builtinLayouts, ...layouts].some((other) => other.id === layout.id)) {
      complaints.push({ path: `${path}.id`, found: shown(layout.id), allowed: "an id that no other layout has" });
    }
    if (!canBeFilledIn(layout)) {
      complaints.push({
        path: `${path}.checks`,
        found: "checks that cover each other",
        allowed: "checks in some order",
      });
    }
    layouts.push(layout);
    if (unknown) unknownIds.add(layout.id);
  });
  return { layouts, unknownIds, complaints };
}

function canBeFilledIn(layout: Layout): boolean {
  try {
    checkOrder(layout.checks);
    return true;
  } catch (error) {
    if (error instanceof RangeError) return false;
    throw error;
  }
}
