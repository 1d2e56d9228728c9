import type { BurstRecord } from "../../../decoders/records.ts";
import type { StudyInput } from "../../study/input.ts";
import type { StudyView } from "../../study/study.ts";
import type { Outcome, StudyBurstBody } from "../wire/studies.ts";
import { type Digests, missedBecause } from "./digests.ts";
import type { Finder } from "./whereabouts.ts";

export interface BurstsAsked {
  readonly outcome?: Outcome | undefined;
  readonly input?: number | undefined;
  /** Comes after this one. */
  readonly after: { readonly input: number; readonly burst: number };
  readonly limit: number;
}

export interface BurstPage {
  readonly bursts: readonly StudyBurstBody[];
  /** `INPUT.BURST` after which the next page begins; `undefined` on the last one. */
  readonly next: string | undefined;
}

/** Bursts of the inputs that are done, in the order of the inputs and then of time. Inputs without any are not read. */
export async function burstPage(
  study: Pick<StudyView, "inputs" | "records">,
  digests: Digests,
  finder: Finder,
  { outcome, input: only, after, limit }: BurstsAsked,
): Promise<BurstPage> {
  const bursts: StudyBurstBody[] = [];
  const inputs = study.inputs().filter(({ state, index }) => {
    return state === "done" && index >= after.input && (only === undefined || index === only);
  });
  for (const input of inputs) {
    const digest = await digests.of(input.index);
    if ((outcome === undefined ? digest.burstCount : (digest.bursts[outcome] ?? 0)) === 0) continue;
    for await (const record of study.records(input.index)) {
      if (record.kind !== "burst" || (outcome !== undefined && record.outcome !== outcome)) continue;
      if (input.index === after.input && record.index <= after.burst) continue;
      const last = bursts.at(-1);
      if (last && bursts.length === limit) return { bursts, next: `${last.input}.${last.burst}` };
      bursts.push(await bodyOf(input, record, finder));
    }
  }
  return { bursts, next: undefined };
}

async function bodyOf(input: StudyInput, record: BurstRecord, finder: Finder): Promise<StudyBurstBody> {
  const where = await finder.where(input);
  const { index, atSeconds, durationSeconds, carrierHz, symbolRate, snrDb, outcome, layout } = record;
  return {
    input: input.index,
    name: input.name,
    burst: index,
    atSeconds,
    durationSeconds,
    carrierHz,
    symbolRate,
    snrDb,
    outcome,
    layout,
    because: missedBecause(record),
    ...where,
    frame: where.recordingHash === null ? null : await finder.frame(where.recordingHash, record),
  };
}
