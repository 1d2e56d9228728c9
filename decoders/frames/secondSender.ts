import type { Baseband } from "../signal/baseband.ts";
import { leftOver } from "../signal/overlap.ts";
import { type Sent, subtract } from "../signal/subtract.ts";
import type { Stretch } from "../signal/trim.ts";
import type { AcceptedFrame } from "./burstReading.ts";

/** A burst's baseband, and how the frames that were read lie in it. */
export interface Heard {
  readonly base: Baseband;
  readonly burst: { readonly noiseDensity: number };
  /** The band that noise was left in. */
  readonly noiseHz: number;
  readonly sent: ReadonlyMap<AcceptedFrame, Sent>;
}

export interface Second {
  readonly accepted: readonly AcceptedFrame[];
  /** Element from which on somebody sends whose telegram could not be read. */
  readonly from: number | undefined;
}

/** More senders than this at once are not told apart. */
const MOST_AT_ONCE = 3;

/**
 * What else was sent while the frames that were read were: their signals are taken off, and what is left is looked at
 * anew, as often as that brings something.
 *
 * @param look Reads what is left, about a stretch in which it stands out; `undefined`: that is for another time.
 * @returns `"open"` where there is something left to look at and no `look`.
 */
export function secondSender(
  heard: Heard,
  read: readonly AcceptedFrame[],
  look: ((left: Baseband, over: Stretch) => AcceptedFrame[]) | undefined,
): "open" | Second {
  const noise = heard.burst.noiseDensity * heard.noiseHz;
  const accepted: AcceptedFrame[] = [];
  let newly = read;
  let left = heard.base;
  for (let senders = 1; ; senders++) {
    for (const frame of newly) {
      const sent = heard.sent.get(frame);
      if (sent) left = subtract(left, sent);
    }
    const over = longest(newly.map((frame) => within(heard.sent.get(frame), left, heard.base, noise)));
    if (!over) return { accepted, from: undefined };
    if (!look) return "open";
    if (senders === MOST_AT_ONCE) return { accepted, from: over.from };
    const around = [...read, ...accepted];
    newly = look(left, over).filter((frame) => !around.some((other) => isSameFrame(frame, other)));
    if (newly.length === 0) return { accepted, from: over.from };
    accepted.push(...newly);
  }
}

/** Where in a frame's own time something is left. */
function within(sent: Sent | undefined, left: Baseband, before: Baseband, noise: number): Stretch | undefined {
  if (!sent) return undefined;
  const from = Math.max(0, Math.ceil(sent.start));
  const to = Math.min(left.re.length, Math.floor(sent.start + sent.symbols.length * sent.period));
  return leftOver(left, before, { from, to }, noise);
}

function longest(stretches: readonly (Stretch | undefined)[]): Stretch | undefined {
  return stretches.reduce((a, b) => (!a || (b && b.to - b.from > a.to - a.from) ? b : a), undefined);
}

/** What subtraction left of a frame may be read once more. */
function isSameFrame(a: AcceptedFrame, b: AcceptedFrame): boolean {
  const apart = Math.abs(a.atSeconds - b.atSeconds);
  if (a.reading.plan !== b.reading.plan || apart > 0.5 * b.durationSeconds) return false;
  return a.reading.bits.every((bit, i) => bit === b.reading.bits[i]);
}
