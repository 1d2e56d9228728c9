import type { StoredJob, StoredJobChange } from "../store/store.ts";
import { cardOf } from "./jobBody.ts";
import type { EarlierBody, JobHistoryBody, JobInputBody } from "./wire.ts";

/**
 * What each change of a card changed, as it was before.
 *
 * @param now The card as it is.
 * @param changes Newest first, as the store gives them.
 */
export function changesOf(now: JobInputBody, changes: readonly StoredJobChange[]): JobHistoryBody[] {
  let after = new Map<string, unknown>(Object.entries(now));
  return changes.map(({ revision, at, says, before: stored }) => {
    const before = Object.entries(cardOf({ body: stored }));
    const changed = before.filter(([key, value]) => JSON.stringify(value) !== JSON.stringify(after.get(key)));
    after = new Map(before);
    return { revision, at, says, before: Object.fromEntries(changed) };
  });
}

/** Earlier cards of the same plate, then of the same vehicle; each newest first, at most twelve. */
export function earlierCards(job: StoredJob, all: readonly StoredJob[]): EarlierBody[] {
  const own = cardOf(job);
  const plate = squeezed(own.plate);
  const vehicle = squeezed(own.vehicle);
  const earlier = all
    .filter(({ id, createdAt }) => id !== job.id && createdAt < job.createdAt)
    .map((other) => ({ id: other.id, createdAt: other.createdAt, card: cardOf(other) }));
  const samePlate = earlier.filter(({ card }) => plate !== "" && squeezed(card.plate) === plate);
  const sameVehicle = earlier.filter(
    (one) => !samePlate.includes(one) && vehicle !== "" && squeezed(one.card.vehicle) === vehicle,
  );
  return [
    ...samePlate.map((one) => ({ ...one, same: "plate" as const })),
    ...sameVehicle.map((one) => ({ ...one, same: "vehicle" as const })),
  ].slice(0, MOST_EARLIER);
}

const MOST_EARLIER = 12;

function squeezed(words: string): string {
  return words.toLowerCase().replace(/[\s.-]/g, "");
}
