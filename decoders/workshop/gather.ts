import type { Modulation } from "../records.ts";
import { type Aligned, align } from "./align.ts";
import { type Caught, median } from "./caught.ts";

/** Bursts that belong together: sent alike, as long as each other, and beginning alike. */
export interface Group {
  readonly modulation: Modulation;
  /** Medians. */
  readonly carrierHz: number;
  readonly deviationHz: number | null;
  readonly symbolRate: number;
  readonly aligned: Aligned;
}

/** A burst that is like no others, and why. */
export interface Outlier {
  readonly caught: Caught;
  readonly because: string;
}

export interface Gathered {
  /** The largest first. */
  readonly groups: readonly Group[];
  readonly outliers: readonly Outlier[];
}

/** Fewer tell nothing of what is constant. */
const LEAST_MEMBERS = 3;
/** Neighbours in a row that lie further apart than this belong to different kinds. */
const CARRIER_GAP_HZ = 100_000;
const RATE_GAP = 0.02;
const LENGTH_GAP = 0.08;
const LENGTH_GAP_SYMBOLS = 10;

/**
 * Sorts bursts by carrier, keying, rate and length, and within that by how they begin. None is dropped: what is like no
 * others is told with its reason.
 */
export function gather(caught: readonly Caught[]): Gathered {
  const groups: Group[] = [];
  const outliers: Outlier[] = [];
  for (const kind of kindsOf(caught)) {
    let left: readonly Caught[] = kind;
    while (left.length >= LEAST_MEMBERS) {
      const { aligned, apart } = align(left);
      if (aligned.members.length < LEAST_MEMBERS) break;
      groups.push(groupOf(aligned));
      left = apart;
    }
    const because =
      kind.length < LEAST_MEMBERS
        ? `only ${kind.length === 1 ? "one burst" : `${kind.length} bursts`} of this carrier, keying, rate and length`
        : "it begins like none of the bursts that are sent like it";
    outliers.push(...left.map((one) => ({ caught: one, because })));
  }
  groups.sort((a, b) => b.aligned.members.length - a.aligned.members.length);
  return { groups, outliers };
}

function groupOf(aligned: Aligned): Group {
  const all = aligned.members.map(({ caught }) => caught);
  const deviations = all.flatMap(({ deviationHz }) => (deviationHz === null ? [] : [deviationHz]));
  return {
    modulation: all[0]!.modulation,
    carrierHz: median(all.map(({ carrierHz }) => carrierHz)),
    deviationHz: deviations.length > 0 ? median(deviations) : null,
    symbolRate: median(all.map(({ symbolRate }) => symbolRate)),
    aligned,
  };
}

function kindsOf(caught: readonly Caught[]): readonly (readonly Caught[])[] {
  const byKeying = ["ask", "fsk"].map((keying) => caught.filter(({ modulation }) => modulation === keying));
  return byKeying
    .flatMap((some) =>
      split(
        some,
        ({ carrierHz }) => carrierHz,
        () => CARRIER_GAP_HZ,
      ),
    )
    .flatMap((some) =>
      split(
        some,
        ({ symbolRate }) => symbolRate,
        (rate) => RATE_GAP * rate,
      ),
    )
    .flatMap((some) =>
      split(
        some,
        ({ symbols }) => symbols.length,
        (length) => Math.max(LENGTH_GAP * length, LENGTH_GAP_SYMBOLS),
      ),
    );
}

/** Cuts a row where one value lies further from the one before it than it may. */
function split(
  caught: readonly Caught[],
  figureOf: (one: Caught) => number,
  gapAt: (value: number) => number,
): readonly (readonly Caught[])[] {
  const kinds: Caught[][] = [];
  let before: number | undefined;
  for (const one of [...caught].sort((a, b) => figureOf(a) - figureOf(b))) {
    const value = figureOf(one);
    if (before === undefined || value - before > gapAt(before)) kinds.push([]);
    kinds.at(-1)!.push(one);
    before = value;
  }
  return kinds;
}
