import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { LotHeadBody } from "../../../server/http/wire/lots.ts";
import type { ReceiverBody } from "../../../server/http/wire.ts";
import type { Problem } from "../../api.ts";
import { addLot, lots, removedLots, restoreLot } from "../../calls/lots.ts";
import { receivers } from "../../calls/receivers.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { lotSubWords, lotTitle } from "../../model/bench/lotWords.ts";
import { timeShown } from "../../model/times.ts";
import { go } from "../../router.ts";
import { List } from "../../views/List.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";

/** All lots, newest first, and one button for the next. */
export function BenchPage(): JSX.Element {
  const loaded = useLoaded("lots", lots);
  useLiveReload(["lot", "snapshot"], loaded.reload);
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);

  const open = async () => {
    setBusy(true);
    // A new lot listens to whatever hears now, so that nobody has to choose before anything was heard; a replay is of one lot.
    const here = await receivers();
    const answer = await addLot({ receiverIds: here.ok ? here.value.filter(hearsNow).map(({ id }) => id) : [] });
    setBusy(false);
    if (answer.ok) go({ page: "lot", id: answer.value.id });
    else setProblem(answer.problem);
  };

  return (
    <Page
      title="Bench"
      lead="Sensors of one delivery, tested in a pressure pot against a gauge: each is within its limits, outside, or nobody can tell."
    >
      {problem && <ProblemNote problem={problem} again={() => void open()} />}
      <p class="form-foot">
        <button type="button" class="button main" disabled={busy} onClick={() => void open()}>
          New lot
        </button>
      </p>
      <Waiting loaded={loaded} what="the lots">
        {(all) => (
          <List
            label="Lots"
            class="rows"
            items={all.toSorted((a, b) => (a.createdAt < b.createdAt ? 1 : -1))}
            keyOf={({ id }) => id}
            empty={{
              says: "No lot yet. A lot is a delivery of sensors, the specimens drawn from it, and what the gauge and the sensors said.",
              action: { label: "Make the first lot", onClick: () => void open() },
            }}
          >
            {(lot) => <LotEntry lot={lot} />}
          </List>
        )}
      </Waiting>
      <RemovedLots onRestored={loaded.reload} />
    </Page>
  );
}

function LotEntry({ lot }: { readonly lot: LotHeadBody }): JSX.Element {
  const sub = lotSubWords(lot);
  return (
    <a class="row row-lot" href={`/bench/${lot.id}`}>
      <span class="row-id fixed-width">{lot.id}</span>
      <span class="row-title">
        {lotTitle(lot)}
        {sub !== "" && <span class="row-sub">{sub}</span>}
      </span>
      <span class="row-when">{lot.sampleOfHouse ? "sample" : timeShown(lot.createdAt)}</span>
    </a>
  );
}

/** Lots that were removed, for as long as they can be had back. */
function RemovedLots({ onRestored }: { readonly onRestored: () => void }): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  return (
    <details onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Removed lots</summary>
      {isOpen && <RemovedList onRestored={onRestored} />}
    </details>
  );
}

function RemovedList({ onRestored }: { readonly onRestored: () => void }): JSX.Element {
  const loaded = useLoaded("removed lots", removedLots);
  useLiveReload(["lot"], loaded.reload);
  const [problem, setProblem] = useState<Problem>();
  const restore = async (id: string) => {
    const answer = await restoreLot(id);
    setProblem(answer.ok ? undefined : answer.problem);
    loaded.reload();
    onRestored();
  };
  return (
    <Waiting loaded={loaded} what="the removed lots">
      {(removed) => (
        <>
          {problem && <ProblemNote problem={problem} />}
          <ul class="list" aria-label="Removed lots">
            {removed.length === 0 && <li>No lot was removed in the last 30 days.</li>}
            {removed.map((lot) => (
              <li key={lot.id} class="change">
                <span>
                  <span class="fixed-width">{lot.id}</span> {lotTitle(lot)}{" "}
                  <span class="caption">goes for good {timeShown(lot.goesAt)}</span>
                </span>
                <button type="button" class="button small" onClick={() => void restore(lot.id)}>
                  Take it back<span class="heard-only">: lot {lot.id}</span>
                </button>
              </li>
            ))}
          </ul>
        </>
      )}
    </Waiting>
  );
}

function hearsNow({ kind, state }: ReceiverBody): boolean {
  return kind !== "replay" && state === "listening";
}
