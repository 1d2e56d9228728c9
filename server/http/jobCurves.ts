import { readingOf } from "../jobs/reading.ts";
import { airOf } from "../jobs/wheelLines.ts";
import type { StoredJob, StoredTelegram } from "../store/store.ts";
import type { House } from "./house.ts";
import { visitOf } from "./jobBody.ts";
import type { CurveBody } from "./wire.ts";

/** Telegrams of one sensor that a curve is made of, the newest; more of them are not looked at. */
const MOST_TELEGRAMS = 4000;
/** Points of a curve: of more, the lowest and the highest of each stretch stay. */
const MOST_POINTS = 600;
const PAGE = 500;

/** What each wheel's sensor said, at this visit and before, oldest first. */
export async function jobCurves(house: House, job: StoredJob): Promise<CurveBody[]> {
  const { lines, card, layouts } = await visitOf(house, job);
  const layoutOf = new Map(layouts.map((layout) => [layout.id, layout]));
  const curves: CurveBody[] = [];
  for (const { position, identity, placardKpa, lampKpa } of lines) {
    if (identity === null) continue;
    const telegrams = await telegramsOf(house, identity);
    const points = telegrams
      .filter(({ telegram }) => telegram.verified)
      .map(({ at, telegram }) => {
        const { gaugeKpa, temperatureC } = readingOf(telegram, layoutOf.get(telegram.layout), airOf(card));
        return { at, gaugeKpa, temperatureC };
      })
      .toSorted((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
    curves.push({ position, identity, placardKpa, lampKpa, count: points.length, points: thinned(points) });
  }
  return curves;
}

async function telegramsOf({ store }: House, identity: string): Promise<StoredTelegram[]> {
  const found: StoredTelegram[] = [];
  let cursor: string | undefined;
  do {
    const page = await store.telegrams({ identity, limit: PAGE, ...(cursor === undefined ? {} : { cursor }) });
    found.push(...page.items);
    cursor = page.next;
  } while (cursor !== undefined && found.length < MOST_TELEGRAMS);
  return found;
}

type Point = CurveBody["points"][number];

/** The points with the lowest and the highest pressure of each stretch, so that no dip disappears. */
function thinned(points: readonly Point[]): Point[] {
  if (points.length <= MOST_POINTS) return [...points];
  const stretches = MOST_POINTS / 2;
  const kept: Point[] = [];
  for (let s = 0; s < stretches; s++) {
    const part = points.slice(
      Math.floor((s * points.length) / stretches),
      Math.floor(((s + 1) * points.length) / stretches),
    );
    const byPressure = part.toSorted((a, b) => (a.gaugeKpa ?? 0) - (b.gaugeKpa ?? 0));
    const ends = new Set([byPressure[0], byPressure.at(-1)]);
    kept.push(...part.filter((point) => ends.has(point)));
  }
  return kept;
}
