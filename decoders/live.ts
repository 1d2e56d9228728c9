import { withPartners } from "./frames/faintPartners.ts";
import { framePlan } from "./frames/frameChecks.ts";
import { createInterferers } from "./frames/interferers.ts";
import { createPlacing } from "./frames/placing.ts";
import { readLine } from "./frames/readLine.ts";
import { createSampleReader } from "./frames/readSamples.ts";
import { createTeller, type LiveTold, REMEMBERED_SECONDS } from "./frames/teller.ts";
import type { Layout } from "./layouts/schema.ts";
import { captures } from "./signal/captures.ts";
import type { BurstLine, SampleSource } from "./sources.ts";

/** Bursts that a receiver tells, decoded as they come. */
export interface LiveLines {
  /**
   * What one burst brought, at once: its record, and each telegram that it was the first verified copy of, or revises.
   * Bursts should come about in order of time; one that was sent again later finds its telegram for a minute. Where time
   * goes back further, nothing after hangs together with anything before.
   */
  push(line: BurstLine): LiveTold[];
  /** Nothing came for so long after the last burst: telegrams whose time for copies is over, though not verified. */
  quiet(seconds: number): LiveTold[];
  /**
   * How many of the bursts pushed so far would have to be pushed again to a new one, in the same order, for the same
   * to be told of all that comes.
   */
  unsettled(): number;
}

/** Lines may come a little late against each other. */
const LATE_SECONDS = 0.5;

/**
 * Decodes what a receiver tells, burst by burst, by the same rules as `analyse`. A record's `index` is the line's
 * sequence.
 *
 * @param file What the records say they are of.
 * @param originSeconds What `atSeconds` of the records counts from, in the lines' own seconds.
 * @throws RangeError where two layouts share an id.
 */
export function createLive(file: string, layouts: readonly Layout[], originSeconds: number): LiveLines {
  const plans = plansOf(layouts);
  const teller = createTeller(file);
  const placing = createPlacing(teller.merger);
  let latest = Number.NEGATIVE_INFINITY;
  return {
    push(line) {
      const reading = readLine(line, originSeconds, plans);
      const end = reading.figures.atSeconds + reading.figures.durationSeconds;
      const told: LiveTold[] = [];
      // From before all that is remembered: the clock was put back, or it is sent again very late. Time begins anew.
      if (end < latest - LATE_SECONDS - REMEMBERED_SECONDS) {
        told.push(...teller.settle(Number.POSITIVE_INFINITY));
        latest = end;
      }
      latest = Math.max(latest, end);
      placing.add(reading, line.sequence);
      told.push(...teller.take(placing.place(Number.POSITIVE_INFINITY, teller.recent()), 1));
      return [...told, ...teller.settle(latest - LATE_SECONDS)];
    },
    quiet: (seconds) => teller.settle(latest + seconds - LATE_SECONDS),
    unsettled: () => teller.unsettled(),
  };
}

/**
 * Decodes samples without end, telling of each burst within about a second, by the same rules as `analyse`. Memory does
 * not grow with time.
 *
 * @throws RangeError where two layouts share an id. Whatever the source throws comes through.
 */
export async function* liveSamples(
  source: SampleSource,
  layouts: readonly Layout[],
): AsyncGenerator<LiveTold, void, undefined> {
  const plans = plansOf(layouts);
  const read = createSampleReader(plans);
  const widestHz = Math.max(0, ...layouts.map((layout) => 2 * (layout.deviationHz ?? 0)));
  const teller = createTeller(source.file);
  const placing = createPlacing(teller.merger);
  const interferers = createInterferers();
  for await (const heard of withPartners(captures(source, widestHz), plans)) {
    for (const burst of heard.bursts) {
      const reading = read(burst, heard.tuning);
      if (!interferers.swallows(reading)) placing.add(reading);
    }
    yield* place(heard.settledSeconds);
    yield* teller.settle(heard.settledSeconds);
  }
  yield* place(Number.POSITIVE_INFINITY);
  yield* teller.settle(Number.POSITIVE_INFINITY);

  function place(untilSeconds: number): LiveTold[] {
    const placed = placing.place(untilSeconds, teller.recent());
    return teller.take(placed, placed.bursts.length);
  }
}

function plansOf(layouts: readonly Layout[]) {
  const ids = new Set(layouts.map((layout) => layout.id));
  if (ids.size !== layouts.length) throw new RangeError("two layouts share an id");
  return layouts.map(framePlan);
}
