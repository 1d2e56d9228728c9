import { type AnalysisRecord, RUNGS } from "../../../decoders/records.ts";
import type { StudyView } from "../../study/study.ts";
import { OUTCOMES, type Outcome, type Reached, type StudyLadderRowBody } from "../wire/studies.ts";

/** What an input that is done comes to, in figures. */
export interface Digest {
  readonly bursts: Readonly<Partial<Record<Outcome, number>>>;
  readonly burstCount: number;
  readonly telegrams: number;
  readonly reached: Reached;
}

/** Digests of the inputs of one study; each is read once, when somebody first asks. */
export interface Digests {
  readonly of: (index: number) => Promise<Digest>;
  /** An input that is tried again comes to something else. */
  readonly forget: (index: number) => void;
}

export function createDigests(study: Pick<StudyView, "records">): Digests {
  const kept = new Map<number, Promise<Digest>>();
  return {
    of(index) {
      let digest = kept.get(index);
      if (!digest) {
        digest = digestOf(study.records(index));
        kept.set(index, digest);
        digest.catch(() => kept.delete(index));
      }
      return digest;
    },
    forget: (index) => void kept.delete(index),
  };
}

/** Throws what the records throw. */
async function digestOf(records: AsyncIterable<AnalysisRecord>): Promise<Digest> {
  const bursts: Partial<Record<Outcome, number>> = {};
  let burstCount = 0;
  let telegrams = 0;
  let reached: Reached = "receiver";
  for await (const record of records) {
    if (record.kind === "burst") {
      burstCount++;
      bursts[record.outcome] = (bursts[record.outcome] ?? 0) + 1;
    } else if (record.kind === "telegram") telegrams++;
    else reached = record.rungs.find(({ passed }) => passed === false)?.rung ?? "telegram";
  }
  return { bursts, burstCount, telegrams, reached };
}

/** From the lowest rung up; a rung at which nothing stopped has a row as well. */
export function ladderOf(digests: readonly Digest[]): StudyLadderRowBody[] {
  return OUTCOMES.map((outcome) => ({
    outcome,
    bursts: digests.reduce((sum, { bursts }) => sum + (bursts[outcome] ?? 0), 0),
    inputs: digests.filter(({ bursts }) => (bursts[outcome] ?? 0) > 0).length,
    bestOf: outcome === "repeat" ? 0 : digests.filter(({ reached }) => reached === outcome).length,
  }));
}

/** Why a burst stopped where it did; `null` for one that did not. */
export function missedBecause(record: Extract<AnalysisRecord, { kind: "burst" }>): string | null {
  if (!RUNGS.some((rung) => rung === record.outcome)) return null;
  return record.rungs.find(({ rung }) => rung === record.outcome)?.because ?? null;
}
