import { compareLots } from "../bench/compareLots.ts";
import { lotCautions } from "../bench/lotCautions.ts";
import type { StoredLot } from "../store/store.ts";
import type { House } from "./house.ts";
import { headOf, lotOf, otherLot } from "./lotBody.ts";
import { LotsComparedBody } from "./wire/lots.ts";

/** Two lots held against each other. */
export async function lotsCompared(house: House, here: StoredLot, other: StoredLot): Promise<LotsComparedBody> {
  const [a, b] = [await otherLot(house, here), await otherLot(house, other)];
  return LotsComparedBody.parse({
    here: headOf(here),
    other: headOf(other),
    comparisons: compareLots(a, b),
    cautions: lotCautions({ id: here.id, lot: lotOf(here), worked: a }, { id: other.id, lot: lotOf(other), worked: b }),
  });
}
