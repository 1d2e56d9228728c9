import { layoutOf } from "./flags.ts";
import type { Lot } from "./lot.ts";
import type { WorkedLot } from "./workOut.ts";

/** One of two lots that are held against each other. */
export interface LotSide {
  readonly id: string;
  readonly lot: Lot;
  readonly worked: Pick<WorkedLot, "specimens">;
}

/** What makes two lots hard to compare, as sentences. */
export function lotCautions(here: LotSide, other: LotSide): readonly string[] {
  if (here.id === other.id) return ["It is one lot, held against itself: nothing can differ."];
  const [a, b] = [here.lot, other.lot];
  const all: string[] = [];
  const shared = identitiesIn(here.worked).filter((identity) => identitiesIn(other.worked).includes(identity));
  if (shared.length > 0) {
    const who = shared.length === 1 ? "One sensor is" : `${shared.length} sensors are`;
    all.push(`${who} in both lots: they are no two samples, and no test here holds. Compare them one by one.`);
  }
  const gauges = [a.gauge.name.trim(), b.gauge.name.trim()];
  if (gauges.includes("")) {
    all.push(
      "A gauge has no name: whether both are one cannot be told, and the error of each may stand in the difference.",
    );
  } else if (gauges[0] !== gauges[1]) {
    all.push("The gauges are two: the error of each stands in the difference, and no test takes it out.");
  }
  if (differ(a, b, "limits")) {
    all.push(
      "The limits are not the same: the shares outside are held against different ones, so they do not compare.",
    );
  }
  if (differ(a, b, "rule")) all.push("The rules of decision are not the same: the shares outside do not compare.");
  const spoken = [spokenIn(here.worked), spokenIn(other.worked)];
  if (spoken[0] !== "" && spoken[1] !== "" && spoken[0] !== spoken[1]) {
    all.push(`They speak different layouts, ${spoken[0]} and ${spoken[1]}: it is another part, with steps of its own.`);
  }
  if (differ(a, b, "setPoints")) {
    all.push("The set points are not the same: mean errors are taken over different pressures.");
  }
  if (a.fixture.kind !== b.fixture.kind) all.push("The fixtures are not the same: levels do not compare.");
  if (a.receiverIds.toSorted().join() !== b.receiverIds.toSorted().join()) {
    all.push("Other receivers listened: their references and levels stand in the difference.");
  }
  all.push("With several tests at 5 % each one in twenty calls a difference where there is none.");
  return all;
}

function differ(a: Lot, b: Lot, entry: "limits" | "rule" | "setPoints"): boolean {
  return JSON.stringify(a[entry]) !== JSON.stringify(b[entry]);
}

/** The layouts of its specimens, in words. */
function spokenIn({ specimens }: LotSide["worked"]): string {
  const layouts = specimens.flatMap(({ registered: { body } }) => (body ? [layoutOf(body)] : []));
  return [...new Set(layouts)].toSorted().join(" and ");
}

function identitiesIn({ specimens }: LotSide["worked"]): readonly string[] {
  return [...new Set(specimens.flatMap(({ registered }) => registered.body?.identity ?? []))];
}
