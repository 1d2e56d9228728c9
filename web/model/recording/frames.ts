import type { BurstBody, StoredTelegramBody } from "../../../server/http/wire.ts";
import type { TimeRange } from "./range.ts";

/**
 * How a frame is drawn. `solid`: its telegram is verified. `hollow`: there is a frame, but its check does not agree, or
 * too little proves it. `dotted`: a fragment, of which no layout makes a frame.
 */
export type FrameLook = "solid" | "hollow" | "dotted";

/** One block on the frame lines: a burst, or of a burst that belongs to several telegrams one of these. */
export interface Frame extends TimeRange {
  /** The burst's index; further telegrams of the same burst have `.2`, `.3` behind it. */
  readonly id: string;
  readonly burst: BurstBody;
  readonly telegram: StoredTelegramBody | undefined;
  readonly look: FrameLook;
}

/** Every burst as a frame, in order of time. */
export function framesOf(bursts: readonly BurstBody[], telegrams: readonly StoredTelegramBody[]): Frame[] {
  const byBurst = new Map<number, StoredTelegramBody[]>();
  for (const stored of telegrams) {
    for (const index of stored.telegram.repeats) byBurst.set(index, [...(byBurst.get(index) ?? []), stored]);
  }
  return bursts
    .toSorted((a, b) => a.atSeconds - b.atSeconds || a.index - b.index)
    .flatMap((burst) => {
      const held = byBurst.get(burst.index) ?? [undefined];
      return held.map((telegram, i) => ({
        id: i === 0 ? String(burst.index) : `${burst.index}.${i + 1}`,
        burst,
        telegram,
        look: lookOf(burst, telegram),
        fromSeconds: burst.atSeconds,
        toSeconds: burst.atSeconds + burst.durationSeconds,
      }));
    });
}

/** Whether nothing verified came of it. */
export function isUnread({ look }: Pick<Frame, "look">): boolean {
  return look !== "solid";
}

/** Who sent it, where that is told. */
export function senderOf({ telegram }: Pick<Frame, "telegram">): string | undefined {
  return telegram?.identity ?? undefined;
}

/** Of frames drawn as one the worst is told: what is wrong does not hide behind what is right. */
export function weakest(a: FrameLook, b: FrameLook): FrameLook {
  return WEAKNESS.indexOf(a) > WEAKNESS.indexOf(b) ? a : b;
}

/** What a recording opens with: the first frame that could not be read, since that is what asks for an explanation. */
export function firstChosen(frames: readonly Frame[]): Frame | undefined {
  return frames.find(isUnread) ?? frames[0];
}

/**
 * The next or the previous frame in time, `undefined` past the last one.
 *
 * @param wanted Passes over those that do not fit.
 */
export function neighbour(
  frames: readonly Frame[],
  id: string | undefined,
  step: 1 | -1,
  wanted: (frame: Frame) => boolean = () => true,
): Frame | undefined {
  const at = frames.findIndex((frame) => frame.id === id);
  for (let i = at === -1 && step === -1 ? frames.length - 1 : at + step; i >= 0 && i < frames.length; i += step) {
    const frame = frames[i];
    if (frame && wanted(frame)) return frame;
  }
  return undefined;
}

const WEAKNESS: readonly FrameLook[] = ["solid", "hollow", "dotted"];

/** Rungs above these need a frame: a burst that missed one of them has bits that can be shown. */
const WITH_FRAME: ReadonlySet<BurstBody["outcome"]> = new Set(["check", "values"]);

function lookOf({ outcome }: BurstBody, telegram: StoredTelegramBody | undefined): FrameLook {
  if (telegram) return telegram.telegram.verified ? "solid" : "hollow";
  return WITH_FRAME.has(outcome) ? "hollow" : "dotted";
}
