import type { JSX } from "preact";
import type { JobBody, ReceiverBody } from "../../../server/http/wire.ts";
import { recordings } from "../../calls/recordings.ts";
import { useLiveReload } from "../../live.ts";
import { type Loaded, useLoaded } from "../../loaded.ts";
import { stateWords } from "../../model/recording/listWords.ts";
import { List } from "../../views/List.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import type { Card } from "./card.ts";

interface ListensToProps {
  readonly job: JobBody;
  readonly card: Card;
  readonly loaded: Loaded<readonly ReceiverBody[]>;
}

/** Which receivers and recordings this visit takes its telegrams from. */
export function ListensTo({ job, card, loaded }: ListensToProps): JSX.Element {
  return (
    <section aria-labelledby="listens-to">
      <h2 id="listens-to">Listens to</h2>
      <Waiting loaded={loaded} what="the receivers">
        {(all) => (
          <List
            label="Receivers"
            items={all}
            keyOf={({ id }) => id}
            empty={{
              says: "No receiver is connected, so nothing new can be heard on this visit.",
              action: { label: "Connect a receiver", href: "/receivers" },
            }}
          >
            {(receiver) => <ReceiverBox receiver={receiver} job={job} card={card} />}
          </List>
        )}
      </Waiting>
      {job.recordingHashes.length > 0 && <JobRecordings hashes={job.recordingHashes} />}
    </section>
  );
}

/** The visit's recordings by name, with what each came to: the way from a finding to its evidence. */
function JobRecordings({ hashes }: { readonly hashes: readonly string[] }): JSX.Element {
  const loaded = useLoaded("recordings", recordings);
  useLiveReload(["recording", "snapshot"], loaded.reload);
  const all = loaded.state === "there" ? loaded.value : [];
  return (
    <ul class="list" aria-label="Recordings">
      {hashes.map((hash) => {
        const known = all.find((one) => one.hash === hash);
        return (
          <li key={hash}>
            Recording <a href={`/recordings/${hash}`}>{known?.name ?? hash.slice(0, 8)}</a>
            {known && <span class="caption">{stateWords(known)}</span>}
          </li>
        );
      })}
    </ul>
  );
}

interface ReceiverBoxProps {
  readonly receiver: ReceiverBody;
  readonly job: JobBody;
  readonly card: Card;
}

function ReceiverBox({ receiver, job, card }: ReceiverBoxProps): JSX.Element {
  const listens = job.receiverIds.includes(receiver.id);
  const others = job.receiverIds.filter((id) => id !== receiver.id);
  const change = listens
    ? { ids: others, says: `The visit no longer listens to ${receiver.name}.` }
    : { ids: [...others, receiver.id], says: `The visit listens to ${receiver.name}.` };
  return (
    <label class="check">
      <input
        type="checkbox"
        checked={listens}
        disabled={card.saving}
        onChange={() => void card.save({ receiverIds: change.ids }, change.says)}
      />
      <span>
        {receiver.name}: {receiver.says}
      </span>
    </label>
  );
}
