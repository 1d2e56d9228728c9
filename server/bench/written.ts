import { type Lot, MOST_SPECIMENS } from "./lot.ts";
import type { WorkedLot } from "./workOut.ts";

/**
 * The lot with every specimen that was heard written down under its number, so that nobody changes places any more and
 * later lots know their identities again. Of more than a lot may hold the first are written down.
 */
export function written(lot: Lot, { specimens }: Pick<WorkedLot, "specimens">): Lot {
  const entries = specimens.slice(0, MOST_SPECIMENS).flatMap(({ registered }) => {
    const { number, body, label, note, leftOut } = registered;
    const entry = lot.specimens.find((one) => one.number === number);
    if (!body) return entry ? [entry] : [];
    return [{ number, identity: body.identity, body: body.letter, label, note, leftOut }];
  });
  return { ...lot, specimens: entries };
}
