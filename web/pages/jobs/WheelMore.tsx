import type { JSX } from "preact";
import { useEffect } from "preact/hooks";
import type { JobBody, WheelLineBody, WheelMoreBody } from "../../../server/http/wire.ts";
import { wheelMore } from "../../calls/jobs.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { wheelSlug } from "../../model/route.ts";
import { timeShown } from "../../model/times.ts";
import { CauseList } from "../../views/CauseList.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import type { Card } from "./card.ts";

interface WheelMoreProps {
  readonly job: JobBody;
  readonly line: WheelLineBody;
  readonly card: Card;
}

/** Why the wheel is silent or the lamp lit, what to do next, and what the rules and earlier visits say. */
export function WheelMore({ job, line, card }: WheelMoreProps): JSX.Element {
  const slug = wheelSlug(line.position);
  const loaded = useLoaded(`wheel ${job.id} ${slug}`, () => wheelMore(job.id, slug));
  const { reload } = loaded;
  useEffect(reload, [job.revision, line.state, reload]);
  useLiveReload(["telegram", "burst", "snapshot"], reload);
  return (
    <Waiting loaded={loaded} what="what is known of this wheel">
      {(more) => (
        <>
          {line.state !== "heard" && (
            <dl class="silence">
              <dt>Could we have heard it?</dt>
              <dd>{more.couldWeHaveHeardIt}</dd>
              <dt>Was it woken, and how?</dt>
              <dd>{more.wasItWoken}</dd>
            </dl>
          )}
          {more.oddOneOut.map((words) => (
            <p key={words}>Unlike its siblings: {words}</p>
          ))}
          {more.steps.length > 0 && <Steps more={more} line={line} card={card} />}
          {more.ranking.length > 0 && <Ranking more={more} lamp={line.state === "heard"} />}
          {more.loss !== null && (
            <section aria-labelledby="loss">
              <h2 id="loss">Since earlier visits</h2>
              <p>{more.loss}</p>
            </section>
          )}
          {more.age !== null && <p>{more.age}</p>}
          {more.visits.length > 0 && (
            <section aria-labelledby="visits">
              <h2 id="visits">This sensor on other cards</h2>
              <ul class="list">
                {more.visits.map(({ id, createdAt, position, takenOut }) => (
                  <li key={`${id} ${position}`}>
                    {timeShown(createdAt)}: {takenOut ? "taken out of" : "on"} the {position},{" "}
                    <a href={`/jobs/${id}`}>job {id}</a>
                  </li>
                ))}
              </ul>
            </section>
          )}
          <details>
            <summary>When the lamp must be lit</summary>
            <ul class="list">
              {more.rules.map(({ words, source, status }) => (
                <li key={words}>
                  {words}
                  {source !== null && (
                    <span class="caption">
                      {" "}
                      {source}, {status}.
                    </span>
                  )}
                </li>
              ))}
            </ul>
            <p class="caption">
              Indicative: the rule in force comes first. A rule says when a lamp must light, not that a tyre is right.
            </p>
          </details>
        </>
      )}
    </Waiting>
  );
}

interface PartProps extends Omit<WheelMoreProps, "job"> {
  readonly more: WheelMoreBody;
}

/** Three at most, what tells most per minute first; an answer goes onto the card, and the ranking moves. */
function Steps({ more, line, card }: PartProps): JSX.Element {
  const answer = (step: string, id: string, words: string) =>
    void card.save(
      (now) => ({ answers: [...now.answers, { position: line.position, step, answer: id, at: "now" }] }),
      `${line.position}: ${words}`,
    );
  return (
    <section aria-labelledby="next-steps" class="step-list">
      <h2 id="next-steps">What to do next</h2>
      <ol>
        {more.steps.map(({ id, words, minutes, caution, answers }, i) => (
          <li key={id} class="next-step">
            <p>
              <strong>{/[.?]$/.test(words) ? words : `${words}.`}</strong>{" "}
              <span class="caption">
                About {minutes} min{i === 0 && ", tells most per minute"}.
              </span>
            </p>
            {caution !== null && <p class="caution">{caution}</p>}
            <p class="form-foot">
              {answers.map((one) => (
                <button
                  key={one.id}
                  type="button"
                  class="button"
                  disabled={card.saving}
                  onClick={() => answer(id, one.id, one.words)}
                >
                  {one.words}
                </button>
              ))}
            </p>
          </li>
        ))}
      </ol>
    </section>
  );
}

function Ranking({ more, lamp }: { readonly more: WheelMoreBody; readonly lamp: boolean }): JSX.Element {
  return (
    <section aria-labelledby="why">
      <h2 id="why">{lamp ? "Why the lamp may be lit" : "Why it may be silent"}</h2>
      <CauseList causes={more.ranking} />
    </section>
  );
}
