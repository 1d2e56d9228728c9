import { compareLots } from "../bench/compareLots.ts";
import type { Lot } from "../bench/lot.ts";
import type { StoredLot } from "../store/store.ts";
import type { House } from "./house.ts";
import { headOf, lotOf, otherLot } from "./lotBody.ts";
import { LotsComparedBody } from "./wire/lots.ts";

/** Two lots held against each other. */
export async function lotsCompared(house: House, here: StoredLot, other: StoredLot): Promise<LotsComparedBody> {
  return LotsComparedBody.parse({
    here: headOf(here),
    other: headOf(other),
    comparisons: compareLots(await otherLot(house, here), await otherLot(house, other)),
    cautions: cautions(lotOf(here), lotOf(other)),
  });
}

/** What makes two lots hard to compare. */
function cautions(a: Lot, b: Lot): string[] {
  const all: string[] = [];
  if (a.gauge.name !== b.gauge.name) {
    all.push("The gauges are two: the error of each stands in the difference, and no test takes it out.");
  }
  if (JSON.stringify(a.setPoints) !== JSON.stringify(b.setPoints)) {
    all.push("The set points are not the same: mean errors are taken over different pressures.");
  }
  if (a.fixture.kind !== b.fixture.kind) all.push("The fixtures are not the same: levels do not compare.");
  if (a.receiverIds.join() !== b.receiverIds.join()) {
    all.push("Other receivers listened: their references and levels stand in the difference.");
  }
  all.push("With several tests at 5 % each one in twenty calls a difference where there is none.");
  return all;
}
