import type { Frame } from "./frames.ts";

/** What happened at one time: a telegram with its copies, or bursts in a row that failed alike. */
export interface Event {
  readonly first: Frame;
  readonly frames: readonly Frame[];
}

/** Every frame in exactly one event; events in order of their first frames. */
export function eventsOf(frames: readonly Frame[]): Event[] {
  const events: { first: Frame; frames: Frame[] }[] = [];
  const byTelegram = new Map<string, { first: Frame; frames: Frame[] }>();
  for (const frame of frames) {
    const last = events.at(-1);
    const same = frame.telegram
      ? byTelegram.get(frame.telegram.id)
      : last && !last.first.telegram && isAlike(last.first, frame)
        ? last
        : undefined;
    if (same) {
      same.frames.push(frame);
      continue;
    }
    const event = { first: frame, frames: [frame] };
    events.push(event);
    if (frame.telegram) byTelegram.set(frame.telegram.id, event);
  }
  return events;
}

function isAlike(a: Frame, b: Frame): boolean {
  return a.burst.outcome === b.burst.outcome && a.burst.layout === b.burst.layout;
}
