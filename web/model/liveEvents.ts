/** What the server tells of; the names of its events. */
export const LIVE_KINDS = [
  "telegram",
  "burst",
  "receiver",
  "job",
  "lot",
  "lesson",
  "recording",
  "study",
  "snapshot",
] as const;
export type LiveKind = (typeof LIVE_KINDS)[number];

/** One event as it came. */
export interface Told {
  /** Up by one from each event to the next. */
  readonly number: number;
  readonly kind: LiveKind;
  /** JSON. */
  readonly data: string;
}

/** Keeps count of the events that a page was told, so that none is told twice and none is missed unnoticed. */
export interface LiveCount {
  /** The last one; `undefined` before the first. */
  readonly last: () => number | undefined;
  /** What the page is to hear of this event: itself, nothing, or to ask for everything anew and then itself. */
  readonly take: (told: Told) => readonly Told[];
}

export function createLiveCount(): LiveCount {
  let last: number | undefined;
  return {
    last: () => last,
    take(told) {
      const { number, kind } = told;
      const before = last;
      // Where the server says that everything is new, numbers may begin below those that are known.
      if (kind === "snapshot" || before === undefined) {
        last = number;
        return [told];
      }
      if (number <= before) return [];
      last = number;
      return number === before + 1 ? [told] : [everythingAnew(before), told];
    },
  };
}

/** What a page hears that cannot know whether it missed something. */
export function everythingAnew(number: number): Told {
  const because = "Something was missed on the way: ask for everything anew.";
  return { number, kind: "snapshot", data: JSON.stringify({ because }) };
}
