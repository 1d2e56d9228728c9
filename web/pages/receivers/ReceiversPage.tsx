import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { quarantined, receivers } from "../../calls/receivers.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { List } from "../../views/List.tsx";
import { Page } from "../../views/Page.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { AddReceiver } from "./AddReceiver.tsx";
import { PluggedIn } from "./PluggedIn.tsx";
import { Quarantine } from "./Quarantine.tsx";
import { ReceiverEntry } from "./ReceiverEntry.tsx";

/** Whatever hears for us: each with a sentence on how it fares. */
export function ReceiversPage(): JSX.Element {
  const loaded = useLoaded("receivers", receivers);
  const aside = useLoaded("quarantine", quarantined);
  useLiveReload(["receiver", "snapshot"], loaded.reload);
  useLiveReload(["receiver", "snapshot"], aside.reload);
  const [adding, setAdding] = useState(false);
  return (
    <Page
      title="Receivers"
      lead="Whatever hears for us: a device on a serial port, or a program that feeds lines or samples in."
    >
      {!adding && <PluggedIn onAdded={loaded.reload} />}
      {!adding && (
        <p>
          <button type="button" class="button main" onClick={() => setAdding(true)}>
            Add a receiver
          </button>
        </p>
      )}
      {adding && (
        <AddReceiver
          onAdded={() => {
            setAdding(false);
            loaded.reload();
          }}
          onClose={() => setAdding(false)}
        />
      )}
      <Waiting loaded={loaded} what="the receivers">
        {(all) => (
          <List
            label="Receivers"
            class="receivers"
            items={all}
            keyOf={({ id }) => id}
            empty={{
              says: "No receiver is connected, so nothing new can be heard.",
              action: { label: "Connect the first", onClick: () => setAdding(true) },
            }}
          >
            {(receiver) => <ReceiverEntry receiver={receiver} onChanged={loaded.reload} />}
          </List>
        )}
      </Waiting>
      <Quarantine loaded={aside} names={loaded.state === "there" ? loaded.value : []} />
    </Page>
  );
}
