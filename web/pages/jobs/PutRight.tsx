import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import { type JobBody, type PuttingRightBody, readBackOf } from "../../../server/http/wire.ts";
import { puttingRight } from "../../calls/jobs.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";
import { QrCode } from "../../views/QrCode.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import type { Card } from "./card.ts";
import type { JobAutosave } from "./jobAutosave.ts";

interface PutRightProps {
  readonly job: JobBody;
  readonly card: Card;
  readonly autosave: JobAutosave;
}

/** The vehicle's list, what is to be registered, and how a relearn goes. Folded until somebody needs it. */
export function PutRight({ job, card, autosave }: PutRightProps): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  const used = job.vehicleList !== "" || job.relearn !== "";
  return (
    <details class="put-right" open={used} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>The vehicle's list, registration, relearn</summary>
      <TextField
        label="Sensor IDs that the vehicle holds, typed or pasted, hex or decimal"
        lines={4}
        fixedWidth
        maxLength={4000}
        value={autosave.draft.vehicleList}
        onInput={(text) => autosave.type("vehicleList", text)}
        onLeave={autosave.flush}
      />
      {(isOpen || used) && <Loading job={job} card={card} />}
    </details>
  );
}

function Loading({ job, card }: { readonly job: JobBody; readonly card: Card }): JSX.Element {
  const loaded = useLoaded(`putting right ${job.id}`, () => puttingRight(job.id));
  const { reload } = loaded;
  useEffect(reload, [job.revision, reload]);
  useLiveReload(["telegram", "snapshot"], reload);
  return (
    <Waiting loaded={loaded} what="the vehicle's list">
      {(body) => (
        <>
          <Compared list={body.list} />
          <Registration body={body} job={job} card={card} />
          <PickOne
            label="Which relearn does the vehicle want?"
            value={job.relearn}
            options={[["", "not chosen"], ...body.kinds.map(({ id, name }) => [id, name] as const)]}
            onChange={(relearn) => void card.save({ relearn }, `Relearn: ${relearn || "not chosen"}`)}
          />
          {body.relearn && <Relearn relearn={body.relearn} />}
        </>
      )}
    </Waiting>
  );
}

function Compared({ list }: { readonly list: PuttingRightBody["list"] }): JSX.Element | null {
  if (list.wheels.length === 0 && list.refused.length === 0) return null;
  return (
    <section aria-label="The list against what was heard">
      <h3>The list against what was heard</h3>
      <ul class="list">
        {list.wheels.map(({ position, says }) => (
          <li key={position}>{sentence(says)}</li>
        ))}
        {list.entries
          .filter(({ kind }) => kind !== "heard and listed")
          .map(({ text, says }) => (
            <li key={text}>{says}</li>
          ))}
        {list.refused.map(({ text, says }) => (
          <li key={text} class="wrong">
            {says}
          </li>
        ))}
      </ul>
    </section>
  );
}

function Registration(props: {
  readonly body: PuttingRightBody;
  readonly job: JobBody;
  readonly card: Card;
}): JSX.Element {
  const { lines, missing, qrText } = props.body.registration;
  return (
    <section aria-label="For registration">
      <h3>For registration</h3>
      {lines.length === 0 && <p>No wheel has a sensor ID yet.</p>}
      <ul class="registration">
        {lines.map((line) => (
          <RegistrationLine key={line.position} line={line} job={props.job} card={props.card} />
        ))}
      </ul>
      {missing.length > 0 && <p>Without a sensor ID yet: {missing.join(", ")}.</p>}
      {qrText !== "" && (
        <p>
          <QrCode text={qrText} label="The whole list as a QR code, a line for each wheel" />
        </p>
      )}
    </section>
  );
}

interface RegistrationLineProps {
  readonly line: PuttingRightBody["registration"]["lines"][number];
  readonly job: JobBody;
  readonly card: Card;
}

/** One identity large, in both notations, and a box to read it back from the vehicle. */
function RegistrationLine({ line, job, card }: RegistrationLineProps): JSX.Element {
  const [typed, setTyped] = useState("");
  const read = typed === "" ? undefined : readBackOf(line.identity, typed);
  const isBack = job.readBack.some((one) => one.position === line.position && one.identity === line.identity);
  const put = () =>
    void card.save(
      {
        readBack: [
          ...job.readBack.filter(({ position }) => position !== line.position),
          { position: line.position, identity: line.identity },
        ],
      },
      `${sentence(line.position)} read back`,
    );
  return (
    <li class="registration-line">
      <p>
        <span class="caption">{sentence(line.position)}</span>
        <span class="registration-large">{line.large}</span>
        <span class="caption">decimal {line.decimal}</span>
      </p>
      <div>
        {isBack ? (
          <p>Read back from the vehicle, and right.</p>
        ) : (
          <>
            <TextField
              label={`Read back from the vehicle, ${line.position}`}
              fixedWidth
              maxLength={40}
              value={typed}
              onInput={setTyped}
              wrong={read && !read.agrees ? read.says : undefined}
            />
            {read?.agrees && (
              <button type="button" class="button" disabled={card.saving} onClick={put}>
                It is right, write it down
              </button>
            )}
          </>
        )}
      </div>
    </li>
  );
}

function Relearn({ relearn }: { readonly relearn: NonNullable<PuttingRightBody["relearn"]> }): JSX.Element {
  return (
    <section aria-label="Steps of the relearn">
      <h3>{relearn.name}</h3>
      <ol>
        {relearn.steps.map((step) => (
          <li key={step.do}>
            {step.do}
            {step.caution !== null && <p class="caution">{step.caution}</p>}
          </li>
        ))}
      </ol>
      {relearn.facts.length > 0 && (
        <details>
          <summary>Examples, with where they were read</summary>
          <ul class="list">
            {relearn.facts.map(({ says, source, status }) => (
              <li key={says}>
                {says}{" "}
                <span class="caption">
                  {source}, {status}
                </span>
              </li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}
