import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { ReceiverBody } from "../../../server/http/wire.ts";
import type { Answer, Problem } from "../../api.ts";
import { receiverDay, removeReceiver, renameReceiver } from "../../calls/receivers.ts";
import { useLoaded } from "../../loaded.ts";
import { dayStrip } from "../../model/receiverDay.ts";
import { broughtWords, carriersInMhz, gapWords, joinedWords } from "../../model/receiverWords.ts";
import { clockShown, timeShown } from "../../model/times.ts";
import { Ask } from "../../views/Ask.tsx";
import { DayStripView } from "../../views/DayStripView.tsx";
import { TextField } from "../../views/Fields.tsx";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { ReceiverKey } from "./ReceiverKey.tsx";
import { SelfCheck } from "./SelfCheck.tsx";

interface ReceiverEntryProps {
  readonly receiver: ReceiverBody;
  readonly onChanged: () => void;
}

/** One receiver: what it says of itself, how it is joined, what it brought, and what it missed. */
export function ReceiverEntry({ receiver, onChanged }: ReceiverEntryProps): JSX.Element {
  const { name, says, state, since, lastHeardAt, provedAt, gaps } = receiver;
  // What was told last is asked for anew when its state changes, and now and then by whoever opens the page.
  const day = useLoaded(`day of ${receiver.id} ${state} ${since}`, () => receiverDay(receiver.id));
  const carriers = carriersInMhz([receiver]);
  return (
    <article class="receiver" aria-label={name}>
      <h2>{name}</h2>
      <p>
        {state !== "listening" && <Mark strength="look here" words={state} />} {says}
      </p>
      {day.state === "there" && <DayStripView strip={dayStrip(day.value, clockShown)} />}
      <dl class="facts">
        <Fact name="Since" text={timeShown(since)} />
        <Fact name="Heard last" text={lastHeardAt === null ? "nothing yet" : timeShown(lastHeardAt)} />
        <Fact
          name="Proved itself"
          text={provedAt === null ? "not yet: no telegram came from it" : `${timeShown(provedAt)}, by a telegram`}
        />
        <Fact name="Can hear" text={carriers === "" ? "it has not said" : carriers} />
        <Fact name="Joined by" text={joinedWords(receiver)} />
        <Fact name="Brought" text={broughtWords(receiver)} />
      </dl>
      {gaps.length === 0 ? (
        <p class="caption">Nothing it sent was missed.</p>
      ) : (
        <ul class="gaps" aria-label="Lines that were missed">
          {gaps.map((gap) => (
            <li key={`${gap.boot ?? ""} ${gap.from}`}>
              {gapWords(gap)} Noticed {timeShown(gap.noticedAt)}.
            </li>
          ))}
        </ul>
      )}
      <ReceiverKey receiver={receiver} onChanged={onChanged} />
      <SelfCheck receiver={receiver} onChecked={onChanged} />
      <Change receiver={receiver} onChanged={onChanged} />
    </article>
  );
}

function Fact({ name, text }: { readonly name: string; readonly text: string }): JSX.Element {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{text}</dd>
    </div>
  );
}

function Change({ receiver, onChanged }: ReceiverEntryProps): JSX.Element {
  const [open, setOpen] = useState<"rename" | "remove">();
  const [name, setName] = useState(receiver.name);
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  const run = async (ask: () => Promise<Answer<unknown>>) => {
    setBusy(true);
    const answer = await ask();
    setBusy(false);
    setProblem(answer.ok ? undefined : answer.problem);
    if (!answer.ok) return;
    setOpen(undefined);
    onChanged();
  };
  return (
    <>
      {problem && <ProblemNote problem={problem} />}
      {open === undefined && (
        <p class="form-foot">
          <button type="button" class="button" onClick={() => setOpen("rename")}>
            Rename<span class="heard-only"> {receiver.name}</span>
          </button>
          <button type="button" class="button" onClick={() => setOpen("remove")}>
            Remove<span class="heard-only"> {receiver.name}</span>
          </button>
        </p>
      )}
      {open === "rename" && (
        <form
          class="inline-form"
          onSubmit={(event) => {
            event.preventDefault();
            void run(() => renameReceiver(receiver.id, name.trim()));
          }}
        >
          <TextField label="Name" value={name} onInput={setName} maxLength={80} />
          <button type="submit" class="button main" disabled={busy || name.trim() === ""}>
            Rename
          </button>
          <button type="button" class="button" onClick={() => setOpen(undefined)}>
            Leave as it was
          </button>
        </form>
      )}
      {open === "remove" && (
        <Ask
          question={`Remove ${receiver.name}? It stops listening. What it brought stays.`}
          yes="Remove it"
          no="Keep it"
          busy={busy}
          onYes={() => void run(() => removeReceiver(receiver.id))}
          onNo={() => setOpen(undefined)}
        />
      )}
    </>
  );
}
