import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { eventsOf, type Event as HeardEvent } from "../../model/recording/events.ts";
import type { FrameLine } from "../../model/recording/frameLines.ts";
import { type Frame, isUnread } from "../../model/recording/frames.ts";
import { linesHeading, missedWords } from "../../model/recording/frameWords.ts";
import { type Bounds, showing, type TimeRange } from "../../model/recording/range.ts";
import { Identity } from "../Identity.tsx";
import { List } from "../List.tsx";
import { Mark } from "../Mark.tsx";
import { Band } from "./Band.tsx";
import { FrameTable } from "./FrameTable.tsx";

interface EventListProps {
  readonly lines: readonly FrameLine[];
  readonly frames: readonly Frame[];
  readonly range: TimeRange;
  readonly bounds: Bounds;
  readonly chosen: Frame | undefined;
  readonly onRange: (range: TimeRange) => void;
  readonly onChoose: (frame: Frame) => void;
}

const MOST_EVENTS = 60;

/** In place of the frame lines on a narrow page: what happened, one below the other. One tab stop, arrows inside. */
export function EventList(props: EventListProps): JSX.Element {
  const { lines, frames, range, bounds, chosen, onRange, onChoose } = props;
  const [most, setMost] = useState(MOST_EVENTS);
  const events = eventsOf(frames);
  const shown = events.slice(0, most);
  const box = useRef<HTMLDivElement>(null);
  const chosenAt = shown.findIndex((event) => event.frames.some(({ id }) => id === chosen?.id));
  const [activeAt, setActive] = useState(Math.max(0, chosenAt));
  useEffect(() => {
    if (chosenAt >= 0) setActive(chosenAt);
  }, [chosenAt]);

  const key = (event: KeyboardEvent) => {
    const to = { ArrowUp: activeAt - 1, ArrowDown: activeAt + 1, Home: 0, End: shown.length - 1 }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    const next = Math.min(shown.length - 1, Math.max(0, to));
    setActive(next);
    box.current?.querySelectorAll<HTMLButtonElement>("button.event")[next]?.focus();
  };

  return (
    <Band
      name="the events"
      heading={linesHeading(lines)}
      howToRead={
        <p>
          What happened, in order of time: a telegram with its copies, or bursts one after the other that failed alike.
          Press one to see its bits and its ladder. With the keyboard: up and down, Home and End, Enter.
        </p>
      }
      table={() => <FrameTable frames={frames} range={range} onChoose={onChoose} />}
    >
      <div ref={box} data-keys="events">
        <List
          label="Frames in order of time"
          class="events"
          items={shown.map((event, at) => ({ ...event, at }))}
          keyOf={({ first }) => first.id}
          empty={{
            says: "No burst was found; the ladder says why.",
            action: { label: "All recordings", href: "/recordings" },
          }}
        >
          {(event) => (
            <button
              type="button"
              class="event"
              tabIndex={event.at === activeAt ? 0 : -1}
              aria-current={event.at === chosenAt ? "true" : undefined}
              onKeyDown={key}
              onClick={() => {
                onRange(showing(range, event.first, bounds));
                onChoose(event.first);
              }}
            >
              <EventWords event={event} />
            </button>
          )}
        </List>
      </div>
      {events.length > most && (
        <button type="button" class="button" onClick={() => setMost(most + MOST_EVENTS)}>
          {`Show more; ${events.length - most} are left`}
        </button>
      )}
    </Band>
  );
}

function EventWords({ event: { first, frames } }: { readonly event: HeardEvent }): JSX.Element {
  const { telegram } = first;
  const unread = isUnread(first);
  return (
    <>
      <span class="event-at">{`${first.burst.atSeconds.toFixed(3)}\u202fs`}</span>
      <span class="event-who">
        {telegram?.identity ? <Identity value={telegram.identity} /> : (telegram?.telegram.layout ?? "not readable")}
      </span>
      <span class="event-what">
        {unread ? (
          <Mark strength="look here" words={telegram ? "not verified" : missedWords(first.burst.outcome)} />
        ) : (
          "verified"
        )}
        {frames.length > 1 && ` ${frames.length} ${telegram ? "copies" : "bursts alike"}`}
      </span>
    </>
  );
}
