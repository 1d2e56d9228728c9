import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import type { JobBody } from "../../../server/http/wire.ts";
import { movedUp, nextStop, type Stop, stopsOf, walkOrder } from "../../model/walk.ts";
import type { Card } from "./card.ts";

/** The walk round the car: one tap for each wake, so that the answer finds its wheel by its time. */
export function Walk({ job, card }: { readonly job: JobBody; readonly card: Card }): JSX.Element {
  const [ordering, setOrdering] = useState(false);
  const stops = stopsOf(job);
  const next = nextStop(stops);
  const order = walkOrder(job);
  return (
    <section aria-labelledby="walk" class="walk">
      <h2 id="walk">Walk round, one wake at a time</h2>
      <p class="caption">
        Tap as you switch the wake-up on at a wheel. What answers then is put on that wheel; every tap can be taken
        back.
      </p>
      <ol class="walk-stops">
        {stops.map((stop) => (
          <li key={stop.position} class="walk-stop">
            <button
              type="button"
              class={stop === next ? "button main walk-button" : "button walk-button"}
              disabled={card.saving}
              onClick={() => void card.wake(stop.position)}
            >
              Wake {stop.position}
            </button>
            <p>{stopWords(stop)}</p>
            {ordering && (
              <button
                type="button"
                class="button small"
                disabled={card.saving || stop.position === order[0]}
                onClick={() =>
                  void card.save(
                    { walkOrder: movedUp(order, stop.position) },
                    `${sentence(stop.position)} earlier on the walk`,
                  )
                }
              >
                Earlier<span class="heard-only">: {stop.position}</span>
              </button>
            )}
          </li>
        ))}
      </ol>
      <p>
        <button type="button" class="button small" aria-pressed={ordering} onClick={() => setOrdering(!ordering)}>
          Change the order
        </button>
      </p>
    </section>
  );
}

function stopWords({ wakes, answer, heard }: Stop): string {
  if (!answer) return heard ? "Heard, without a wake." : "Not woken yet.";
  return `${wakes > 1 ? `Woken ${wakes} times. ` : ""}${answer.because}`;
}
