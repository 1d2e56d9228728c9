import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { JobBody } from "../../../server/http/wire.ts";
import { receivers } from "../../calls/receivers.ts";
import { useSettings } from "../../device.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { soundFor } from "../../model/sounds.ts";
import { play } from "../../sound.ts";
import { DoneNote } from "../../views/DoneNote.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { CardHead } from "./CardHead.tsx";
import { CardMargin } from "./CardMargin.tsx";
import { Changes } from "./Changes.tsx";
import { Codes } from "./Codes.tsx";
import { type Card, useCard } from "./card.ts";
import { EditCard } from "./EditCard.tsx";
import { HandOver } from "./HandOver.tsx";
import { JobConflict } from "./JobConflict.tsx";
import { JobCurves } from "./JobCurves.tsx";
import { useJobAutosave } from "./jobAutosave.ts";
import { Keeping } from "./Keeping.tsx";
import { Ledger } from "./Ledger.tsx";
import { Listening } from "./Listening.tsx";
import { ListensTo } from "./ListensTo.tsx";
import { Others } from "./Others.tsx";
import { Prove } from "./Prove.tsx";
import { PutRight } from "./PutRight.tsx";
import { Walk } from "./Walk.tsx";

/** One visit of a car: what people wrote on the card, and a line for each of its wheels. */
export function JobPage({ id }: { readonly id: string }): JSX.Element {
  const card = useCard(id);
  const there = card.loaded.state === "there" ? card.loaded.value : undefined;
  return (
    <Page title={`Job ${id}`} margin={there && <CardMargin job={there} />}>
      <Waiting loaded={card.loaded} what={`job ${id}`}>
        {(job) => <CardBody job={job} card={card} />}
      </Waiting>
    </Page>
  );
}

function CardBody({ job, card }: { readonly job: JobBody; readonly card: Card }): JSX.Element {
  const [editing, setEditing] = useState(job.plate === "" && job.vehicle === "" && job.revision === 1);
  const autosave = useJobAutosave(job, card);
  useSounds(job);
  const listening = useLoaded("receivers", receivers);
  useLiveReload(["receiver", "snapshot"], listening.reload);
  const all = listening.state === "there" ? listening.value : [];
  const here = all.filter((receiver) => job.receiverIds.includes(receiver.id));
  return (
    <>
      {card.problem && <ProblemNote problem={card.problem} />}
      {card.conflict && (
        <JobConflict conflict={card.conflict} card={card} onChosen={(change) => autosave.drop(Object.keys(change))} />
      )}
      {editing ? (
        <EditCard job={job} card={card} autosave={autosave} onClose={() => setEditing(false)} />
      ) : (
        <CardHead job={job} onEdit={() => setEditing(true)} />
      )}
      <Ledger job={job} card={card} receivers={here} />
      <DoneNote card={card} />
      <Listening job={job} receivers={here} onChanged={card.loaded.reload} />
      {job.receiverIds.length > 0 && <Walk job={job} card={card} />}
      <Others job={job} card={card} />
      <JobCurves job={job} />
      <PutRight job={job} card={card} autosave={autosave} />
      <Codes job={job} autosave={autosave} />
      <Prove job={job} card={card} autosave={autosave} />
      <HandOver job={job} autosave={autosave} />
      <ListensTo job={job} card={card} loaded={listening} />
      <Changes job={job} card={card} />
      <Keeping
        job={job}
        onWiped={() => {
          autosave.drop(["plate", "complaint", "signedBefore", "lampOffBy"]);
          card.forget();
        }}
      />
    </>
  );
}

/** In the bay the card says aloud what comes in. */
function useSounds(job: JobBody): void {
  const { density } = useSettings();
  const before = useRef<JobBody | undefined>(undefined);
  useEffect(() => {
    const sound = soundFor(before.current, job);
    before.current = job;
    if (sound !== undefined && density === "bay") play(sound);
  }, [job, density]);
}
