import type { JSX } from "preact";
import type { JobBody, ReceiverBody } from "../../../server/http/wire.ts";
import { recordings } from "../../calls/recordings.ts";
import { useLiveReload } from "../../live.ts";
import { type Loaded, useLoaded } from "../../loaded.ts";
import { stateWords } from "../../model/recording/listWords.ts";
import { ReceiverChoice } from "../../views/ReceiverChoice.tsx";
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
          <ReceiverChoice
            all={all}
            chosen={job.receiverIds}
            what="visit"
            busy={card.saving}
            onChange={(receiverIds, says) => void card.save({ receiverIds }, says)}
          />
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
