import type { Gap, Store } from "../store/store.ts";
import type { TakenLine } from "./intakeLine.ts";
import { type Ranges, without } from "./ranges.ts";
import { createSequence, type SequenceState } from "./sequence.ts";

type Kept = Pick<Store, "linesOf" | "lastSequence" | "gapsOf" | "putGap">;

/** Further apart, two sequences are taken for two starts of a receiver rather than for a gap. */
const LONGEST_GAP = 10_000;
const PAGE = 1000;

/**
 * Goes on where the lines of this start of the receiver ended, with what is still missing among them.
 *
 * @param canAsk Whether the receiver can be asked for what it sent before its first line that came.
 */
export async function resumeBoot(
  store: Kept,
  receiverId: string,
  boot: string,
  canAsk: boolean,
): Promise<SequenceState> {
  let highest = await store.lastSequence(receiverId, boot);
  const gaps: { readonly gap: Gap; readonly missing: Ranges }[] = [];
  for (const gap of await store.gapsOf(receiverId)) {
    if (gap.boot !== boot || gap.state !== "open") continue;
    gaps.push({ gap, missing: await stillMissing(store, receiverId, gap) });
    // A gap is written before what follows it, which may never have come to disk.
    highest = Math.max(highest ?? gap.to, gap.to);
  }
  return createSequence({ boot, fromOne: canAsk, highest, gaps });
}

/**
 * For a receiver that tells no boot. It goes on if its first line follows on what is there, or is there already, word
 * for word; else it has started anew, and what was missing will not come.
 */
export async function resumeWithoutBoot(
  store: Kept,
  receiverId: string,
  group: readonly TakenLine[],
  at: string,
  canAsk: boolean,
): Promise<SequenceState> {
  const first = group.find((taken) => taken.kind !== "hello" && taken.sequence !== undefined);
  const last = await store.lastSequence(receiverId, "");
  if (first && first.kind !== "hello" && first.sequence !== undefined && last !== undefined) {
    const ahead = first.sequence - last;
    const follows = ahead >= 1 && ahead <= LONGEST_GAP;
    if (follows || (await isThere(store, receiverId, first.sequence, first.text))) {
      return resumeBoot(store, receiverId, "", canAsk);
    }
  }
  return beginWithoutBoot(store, receiverId, at, canAsk);
}

/** A new start of a receiver that tells no boot: what was missing of the one before will not come. */
export async function beginWithoutBoot(
  store: Kept,
  receiverId: string,
  at: string,
  canAsk: boolean,
): Promise<SequenceState> {
  for (const gap of await store.gapsOf(receiverId)) {
    if (gap.boot === "" && gap.state === "open")
      await store.putGap(receiverId, { ...gap, noticedAt: at, state: "lost" });
  }
  return createSequence({ boot: "", fromOne: canAsk, highest: undefined, gaps: [] });
}

/** Whether a line without a boot is kept beside another of the same sequence: the sequence has then begun anew. */
export async function isSaidOtherwise(
  store: Kept,
  receiverId: string,
  line: { readonly sequence: number; readonly text: string },
): Promise<boolean> {
  const lines = await store.linesOf(receiverId, "", line.sequence, 20);
  return lines.some((other) => other.sequence === line.sequence && other.text !== line.text);
}

/** A gap may have been filled in part before the connection broke. */
async function stillMissing(store: Kept, receiverId: string, gap: Gap): Promise<Ranges> {
  let missing: Ranges = [{ from: gap.from, to: gap.to }];
  for (let from = gap.from; from <= gap.to; ) {
    const lines = await store.linesOf(receiverId, gap.boot, from, PAGE);
    for (const { sequence } of lines) missing = without(missing, { from: sequence, to: sequence });
    const last = lines.at(-1)?.sequence;
    if (last === undefined || lines.length < PAGE) break;
    from = last + 1;
  }
  return missing;
}

async function isThere(store: Kept, receiverId: string, sequence: number, text: string): Promise<boolean> {
  const lines = await store.linesOf(receiverId, "", sequence, 20);
  return lines.some((line) => line.sequence === sequence && line.text === text);
}
