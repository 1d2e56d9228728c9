import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { layouts } from "../../calls/layouts.ts";
import { receivers } from "../../calls/receivers.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { carriersInMhz } from "../../model/receiverWords.ts";
import { nominalsFor } from "../../model/sending/carrierVerdict.ts";
import { HELD, type Held } from "../../model/sending/held.ts";
import { Choice } from "../../views/Fields.tsx";
import { Page } from "../../views/Page.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { HeardTable } from "./HeardTable.tsx";
import { useHeard } from "./heard.ts";
import { Run } from "./Run.tsx";

/** Any transmitter held to the receiver: is it heard, on which frequency, how strong, and does it stay so over ten presses. */
export function SendingPage(): JSX.Element {
  const listening = useLoaded("receivers", receivers);
  useLiveReload(["receiver", "snapshot"], listening.reload);
  const shelf = useLoaded("layouts", layouts);
  const [held, setHeld] = useState<Held>("wheel sensor");
  const heard = useHeard();
  const onShelf = shelf.state === "there" ? shelf.value.map(({ layout }) => layout) : [];
  const nominals = nominalsFor(held, onShelf);
  return (
    <Page
      title="Is it sending?"
      lead="Hold one transmitter to the receiver and make it send, ten times for a full answer. This only listens: nothing is sent, and no job is needed."
    >
      <div class="choices held">
        <Choice
          legend="What is held to the receiver"
          value={held}
          onChange={setHeld}
          options={HELD.map((one) => [one, HELD_LABELS[one]])}
        />
      </div>
      <Waiting loaded={listening} what="the receivers">
        {(all) => {
          const here = all.filter(({ state }) => state === "listening");
          const carriers = carriersInMhz(here);
          return (
            <>
              <p class="caption">
                {here.length === 0
                  ? "Nothing listens now."
                  : `Listening: ${here.map(({ name }) => name).join(", ")}${carriers === "" ? "" : `, on ${carriers}`}.`}
              </p>
              <Run heard={heard} held={held} nominals={nominals} receivers={all} listeningCount={here.length} />
              <details>
                <summary>Every burst, as it came in</summary>
                <HeardTable
                  heard={heard}
                  nominalHz={onShelf.flatMap(({ carrierHz }) => carrierHz)}
                  listeningCount={here.length}
                />
              </details>
              <details>
                <summary>What this does not say</summary>
                <ul class="plain">
                  <li>It does not decode: that something sends says nothing of whether its data are right.</li>
                  <li>A receiver cannot tell whose signal it hears. Keep other transmitters away, and leave pauses.</li>
                  <li>No level here is a power in dBm, and no figure shows that a rule is kept.</li>
                  <li>Nothing is sent back. What wakes a sensor is your own activator, by its maker's procedure.</li>
                </ul>
              </details>
            </>
          );
        }}
      </Waiting>
    </Page>
  );
}

const HELD_LABELS: Readonly<Record<Held, string>> = {
  "wheel sensor": "A wheel sensor, in the hand or on its wheel",
  "remote key": "A remote key",
  "something else": "Something else",
};
