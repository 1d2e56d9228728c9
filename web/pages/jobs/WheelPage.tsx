import type { JSX } from "preact";
import { sentence } from "../../../decoders/words.ts";
import type { JobBody, WheelLineBody } from "../../../server/http/wire.ts";
import { telegram as telegramOf } from "../../calls/jobs.ts";
import { layouts } from "../../calls/layouts.ts";
import { useLoaded } from "../../loaded.ts";

import { addressOf } from "../../model/route.ts";
import { wheelBySlug } from "../../model/wheels.ts";
import { DoneNote } from "../../views/DoneNote.tsx";
import { Empty } from "../../views/Empty.tsx";
import { Identity } from "../../views/Identity.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { type Card, useCard } from "./card.ts";
import { JobConflict } from "./JobConflict.tsx";
import { LastTelegram } from "./LastTelegram.tsx";
import { SensorHistory } from "./SensorHistory.tsx";
import { TeachFromCar } from "./TeachFromCar.tsx";
import { WheelMore } from "./WheelMore.tsx";
import { WheelWork } from "./WheelWork.tsx";

interface WheelPageProps {
  readonly id: string;
  /** Its position as it stands in the address. */
  readonly wheel: string;
}

/** What the sensor of one wheel said, or what is known of its silence. */
export function WheelPage({ id, wheel }: WheelPageProps): JSX.Element {
  const card = useCard(id);
  const { loaded } = card;
  const line = loaded.state === "there" ? wheelBySlug(loaded.value.lines, wheel) : undefined;
  const back = addressOf({ page: "job", id });
  return (
    <Page
      title={sentence(line?.position ?? wheel.replaceAll("-", " "))}
      lead={
        <>
          On <a href={back}>job {id}</a>
        </>
      }
    >
      <Waiting loaded={loaded} what={`job ${id}`}>
        {(job) =>
          line === undefined ? (
            <Empty
              says={`Job ${id} has no wheel of that name; it may have been taken off the card.`}
              action={{ label: "Back to the card", href: back }}
            />
          ) : (
            <WheelBody job={job} line={line} card={card} />
          )
        }
      </Waiting>
    </Page>
  );
}

interface WheelBodyProps {
  readonly job: JobBody;
  readonly line: WheelLineBody;
  readonly card: Card;
}

function WheelBody({ job, line, card }: WheelBodyProps): JSX.Element {
  const back = addressOf({ page: "job", id: job.id });
  return (
    <>
      <section class="wheel-head" aria-label="Sensor and finding">
        {line.identity === null ? (
          <Empty says="This wheel has no sensor ID yet." action={{ label: "Choose one on the card", href: back }} />
        ) : (
          <p>
            <span class="caption">Sensor ID</span>
            <Identity value={line.identity} large />
          </p>
        )}
        <p>
          <Mark strength={line.strength} words={line.state === "heard" ? line.strength : line.state} />
        </p>
        <p class="finding">{line.finding}</p>
      </section>
      {card.problem && <ProblemNote problem={card.problem} />}
      {card.conflict && <JobConflict conflict={card.conflict} card={card} onChosen={() => undefined} />}
      <DoneNote card={card} />
      {line.state === "sending, not readable" && <TeachFromCar job={job} />}
      <WheelMore job={job} line={line} card={card} />
      <WheelWork job={job} line={line} card={card} />
      {line.telegramId !== null && <Said telegramId={line.telegramId} />}
      {line.identity !== null && <SensorHistory identity={line.identity} />}
    </>
  );
}

function Said({ telegramId }: { readonly telegramId: string }): JSX.Element {
  const loaded = useLoaded(`telegram ${telegramId}`, () => telegramOf(telegramId));
  const shelf = useLoaded("layouts", layouts);
  const known = shelf.state === "there" ? shelf.value : [];
  return (
    <section aria-labelledby="said">
      <h2 id="said">What it said last</h2>
      <Waiting loaded={loaded} what="the telegram">
        {(stored) => (
          <LastTelegram stored={stored} layout={known.find(({ id }) => id === stored.telegram.layout)?.layout} />
        )}
      </Waiting>
    </section>
  );
}
