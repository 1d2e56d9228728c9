import type { JSX } from "preact";
import { type FleetNow, lagWords } from "../../model/fleetWords.ts";
import { clockWithSeconds } from "../../model/times.ts";
import { Mark } from "../../views/Mark.tsx";

/** What is wrong and what to do, worst first, and what waits. */
export function Standing({ now }: { readonly now: FleetNow }): JSX.Element {
  const [lines, work] = lagWords(now);
  return (
    <section aria-label="How it stands">
      <div role="status">
        {now.troubles.length === 0 ? (
          <p>All servers answer, every copy is current, and nothing is set aside.</p>
        ) : (
          <ul class="troubles">
            {now.troubles.map(({ strength, says, nextStep }) => (
              <li key={says}>
                <p>
                  <Mark strength={strength} /> {says}
                </p>
                <p class="trouble-step">{nextStep}</p>
              </li>
            ))}
          </ul>
        )}
      </div>
      <dl class="facts">
        <div>
          <dt>Lines of receivers</dt>
          <dd>{lines}</dd>
        </div>
        <div>
          <dt>Recordings and studies</dt>
          <dd>{work}</dd>
        </div>
        <div>
          <dt>PostgreSQL</dt>
          <dd>{now.store.answers ? "answers" : "away"}</dd>
        </div>
        <div>
          <dt>As of</dt>
          <dd class="clock">{clockWithSeconds(now.at)}</dd>
        </div>
      </dl>
    </section>
  );
}
