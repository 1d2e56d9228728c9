import type { BurstRecord } from "../records.ts";
import { cutTogether } from "../signal/cutTogether.ts";
import { type Waveform, waveforms } from "../signal/waveform.ts";
import type { SampleSource } from "../sources.ts";
import type { Caught } from "./caught.ts";

/** A burst with its samples, to be cut beside others. */
export interface Listened {
  readonly id: string;
  /** When the recording's first sample was, on the clock that all recordings share. */
  readonly originSeconds: number;
  readonly wave: Waveform;
}

/**
 * The bursts of a recording that no layout read, with their samples.
 *
 * @param records What `analyse` said of this recording: it names the bursts, and those that were read are left out.
 * @param idOf The id that a record's burst has elsewhere.
 */
export async function listenAgain(
  source: SampleSource,
  records: readonly BurstRecord[],
  originSeconds: number,
  idOf: (record: BurstRecord) => string,
): Promise<readonly Listened[]> {
  const listened: Listened[] = [];
  const taken = new Set<BurstRecord>();
  for await (const wave of waveforms(source)) {
    const record = mostShared(wave, records);
    if (!record || taken.has(record) || record.outcome === "telegram" || record.outcome === "repeat") continue;
    taken.add(record);
    listened.push({ id: idOf(record), originSeconds, wave });
  }
  return listened;
}

function mostShared({ base, heard, startSeconds }: Waveform, records: readonly BurstRecord[]): BurstRecord | undefined {
  const from = startSeconds + heard.from / base.rateHz;
  const to = startSeconds + heard.to / base.rateHz;
  const shared = ({ atSeconds, durationSeconds }: BurstRecord) =>
    Math.min(to, atSeconds + durationSeconds) - Math.max(from, atSeconds);
  const [best] = records.filter((one) => shared(one) > 0).sort((a, b) => shared(b) - shared(a));
  return best;
}

/**
 * The same bursts as `analyse` cut each by itself, cut anew with what all of them agree on: a rate that a weak burst
 * tells wrongly, or a clock that slips in it, is known from the others.
 *
 * @param caught As they were cut by themselves; those that are like no others stay so.
 */
export function cutAgain(listened: readonly Listened[], caught: readonly Caught[]): readonly Caught[] {
  const cuts = cutTogether(listened.map(({ wave }) => wave));
  const anew = listened.flatMap(({ id, originSeconds }, i): Anew[] => {
    const cut = cuts[i];
    if (!cut) return [];
    const symbols = Uint8Array.from(cut.evidence, (one) => Number(one > 0));
    return [{ originSeconds, caught: { ...cut, id, atSeconds: originSeconds + cut.atSeconds, symbols } }];
  });
  const own = new Map(caught.map((one) => [one.id, one]));
  const kept = anew.filter((one) => !isOtherwise(one.caught, anew, own));
  const ids = new Set(kept.map(({ caught: { id } }) => id));
  return [...withoutTwice(kept), ...caught.filter(({ id }) => !ids.has(id))];
}

interface Anew extends Pick<Listened, "originSeconds"> {
  readonly caught: Caught;
}

/**
 * Whether most bursts that were cut like this one had another keying when each was measured by itself: of two
 * frequencies the one may pass for a carrier that is switched, and the layout then is one that no receiver reads.
 */
function isOtherwise(one: Caught, anew: readonly Anew[], own: ReadonlyMap<string, Caught>): boolean {
  const isLike = ({ modulation, symbolRate }: Caught) =>
    modulation === one.modulation && Math.abs(symbolRate - one.symbolRate) < RATE_SHARE * one.symbolRate;
  const before = own.get(one.id);
  if (!before || before.modulation === one.modulation) return false;
  const known = anew.flatMap(({ caught }) => (isLike(caught) ? (own.get(caught.id) ?? []) : []));
  return known.filter(({ modulation }) => modulation !== one.modulation).length > known.length / 2;
}

const RATE_SHARE = 0.01;

/** A weak burst may be heard in pieces, each of which reaches over the others when it is cut. */
function withoutTwice(anew: readonly Anew[]): readonly Caught[] {
  const kept: Anew[] = [];
  for (const one of [...anew].sort((a, b) => b.caught.symbols.length - a.caught.symbols.length)) {
    if (!kept.some((other) => other.originSeconds === one.originSeconds && isPartOf(one.caught, other.caught)))
      kept.push(one);
  }
  return kept.map(({ caught }) => caught).sort((a, b) => a.atSeconds - b.atSeconds);
}

function isPartOf(one: Caught, other: Caught): boolean {
  const from = Math.max(one.atSeconds, other.atSeconds);
  const to = Math.min(one.atSeconds + one.durationSeconds, other.atSeconds + other.durationSeconds);
  return to - from > one.durationSeconds / 2 && Math.abs(one.carrierHz - other.carrierHz) < NEAR_HZ;
}

const NEAR_HZ = 20_000;
