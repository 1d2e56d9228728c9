import { useMemo } from "preact/hooks";
import type { RecordingBody } from "../../../server/http/wire.ts";
import type { Answer } from "../../api.ts";
import type { LayoutEntry } from "../../calls/layouts.ts";
import { type Records, recordsOf } from "../../calls/recordings.ts";
import { type Loaded, useLoaded } from "../../loaded.ts";
import type { Pick } from "../../model/compare/address.ts";
import { LETTERS, type Meant, meantBy, type Picked, picked } from "../../model/compare/picked.ts";

/** Whose recordings picks mean, and what was found in those that are held here. */
export interface Held {
  readonly meant: readonly Meant[];
  readonly records: Loaded<ReadonlyMap<string, Records>>;
}

export function useHeld(picks: readonly Pick[], all: readonly RecordingBody[]): Held {
  const meant = picks.map((pick) => meantBy(pick, all));
  const held = meant.filter((one) => one.kind === "held");
  const key = held.map(({ recording }) => `${recording.hash} ${recording.analysis.state}`).join(" ");
  const records = useLoaded(`compare ${key}`, () => allRecords(held.map(({ recording }) => recording.hash)));
  return { meant, records };
}

/** The frames that are compared; the letter stays with its place, also where one before it is missing. */
export function usePicked({
  meant,
  picks,
  found,
  all,
  shelf,
}: {
  readonly meant: readonly Meant[];
  readonly picks: readonly Pick[];
  readonly found: ReadonlyMap<string, Records>;
  readonly all: readonly RecordingBody[];
  readonly shelf: readonly LayoutEntry[];
}): readonly (Picked & { readonly at: number })[] {
  return useMemo(() => {
    const layoutOf = (id: string) => shelf.find((entry) => entry.id === id)?.layout;
    return meant.flatMap((one, at) => {
      if (one.kind !== "held") return [];
      const records = found.get(one.recording.hash) ?? { bursts: [], telegrams: [] };
      return [{ at, ...picked(LETTERS[at] ?? "?", one.recording, records, one.pick, layoutOf) }];
    });
    // What is meant is made anew at each turn; the picks and what is held say whether it is the same.
  }, [picks, all, shelf, found]);
}

/** What was found in each; a recording that stands there twice is asked for once. */
async function allRecords(hashes: readonly string[]): Promise<Answer<ReadonlyMap<string, Records>>> {
  const found = new Map<string, Records>();
  for (const hash of new Set(hashes)) {
    const answer = await recordsOf(hash);
    if (!answer.ok) return answer;
    found.set(hash, answer.value);
  }
  return { ok: true, value: found };
}
