import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { receivers } from "../../calls/receivers.ts";
import { bringBursts, type StoredSheet, unread } from "../../calls/worksheets.ts";
import { useLoaded } from "../../loaded.ts";
import { counted } from "../../model/quantities.ts";
import { ChooseRecordings } from "../../views/ChooseRecordings.tsx";
import { PickOne, TextField } from "../../views/Fields.tsx";
import type { SheetHere } from "./useWorksheet.ts";

interface BringInProps {
  readonly here: SheetHere;
  readonly sheet: StoredSheet;
}

/** Minutes of receivers that can be brought in. */
const MINUTES = [
  ["5", "of the last 5 minutes"],
  ["30", "of the last 30 minutes"],
  ["240", "of the last 4 hours"],
] as const;
/** Above this a filter helps. */
const MANY = 8;

/** Recordings, and what receivers heard lately. */
export function BringIn({ here, sheet }: BringInProps): JSX.Element {
  const ears = useLoaded("receivers", receivers);
  const [minutes, setMinutes] = useState<string>("30");
  const heard = ears.state === "there" ? ears.value : [];
  return (
    <section class="bring-in" aria-labelledby="bring-in">
      <h3 id="bring-in">Bring in bursts that nothing reads</h3>
      <Recordings here={here} sheet={sheet} />
      {heard.length > 0 && (
        <form
          class="inline-form"
          onSubmit={(event) => {
            event.preventDefault();
            const from = { receivers: heard.map(({ id }) => id), minutes: Number(minutes) };
            void here.run((stored) => bringBursts(stored.id, stored.revision, from));
          }}
        >
          <PickOne label="Of all receivers" value={minutes} onChange={setMinutes} options={MINUTES} />
          <button type="submit" class="button" disabled={here.busy}>
            Bring in what was heard
          </button>
        </form>
      )}
    </section>
  );
}

function Recordings({ here, sheet }: BringInProps): JSX.Element {
  const loaded = useLoaded("unread", unread);
  const [chosen, setChosen] = useState<readonly string[]>([]);
  const [like, setLike] = useState("");
  const { sources } = sheet.worksheet.now;
  const all = (loaded.state === "there" ? loaded.value : []).filter(({ hash }) => !sources.includes(hash));
  const shown = all.filter(({ name }) => name.toLowerCase().includes(like.trim().toLowerCase()));
  const taken = shown.filter(({ hash }) => chosen.includes(hash));
  if (loaded.state === "loading") return <p class="waiting">Asking the server for the recordings …</p>;
  if (all.length === 0) {
    return (
      <p>
        No further recording has bursts that nothing reads. <a href="/recordings">Add one under Recordings</a>: it is
        analysed, and can then be brought in here.
      </p>
    );
  }
  const isAll = taken.length === shown.length;
  return (
    <form
      aria-label="Of recordings"
      onSubmit={(event) => {
        event.preventDefault();
        const recordings = taken.map(({ hash }) => hash);
        void here
          .run((stored) => bringBursts(stored.id, stored.revision, { recordings }))
          .then((done) => done && setChosen([]));
      }}
    >
      {all.length > MANY && <TextField label="Names that hold" value={like} onInput={setLike} />}
      <ChooseRecordings
        legend="Recordings, those with most such bursts first"
        rows={shown.map(({ hash, name, count }) => ({ hash, words: `${name}, ${counted(count, "burst")}` }))}
        chosen={chosen}
        onChange={setChosen}
      />
      <p class="form-foot">
        <button type="submit" class="button main" disabled={here.busy || taken.length === 0}>
          Bring in the recordings
        </button>
        {shown.length > 1 && (
          <button type="button" class="button" onClick={() => setChosen(isAll ? [] : shown.map(({ hash }) => hash))}>
            {isAll ? "Choose none" : "Choose all"}
          </button>
        )}
      </p>
    </form>
  );
}
