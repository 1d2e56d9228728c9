import type { JSX } from "preact";
import { layouts } from "../../calls/layouts.ts";
import { receivers } from "../../calls/receivers.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { carriersInMhz } from "../../model/receiverWords.ts";
import { Page } from "../../views/Page.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { HeardTable } from "./HeardTable.tsx";
import { useHeard } from "./heard.ts";
import { PressesStrip } from "./PressesStrip.tsx";
import { TenSeconds } from "./TenSeconds.tsx";

/** Any transmitter held to the receiver: does it send, on which frequency, how strong, and can it be read. */
export function SendingPage(): JSX.Element {
  const listening = useLoaded("receivers", receivers);
  useLiveReload(["receiver", "snapshot"], listening.reload);
  const shelf = useLoaded("layouts", layouts);
  const nominalHz = shelf.state === "there" ? shelf.value.flatMap(({ layout }) => layout.carrierHz) : [];
  const heard = useHeard();
  return (
    <Page
      title="Is it sending?"
      lead="Hold one transmitter to the receiver and wake it. No job is needed, and nothing is sent back to it."
    >
      <Waiting loaded={listening} what="the receivers">
        {(all) => {
          const here = all.filter(({ state }) => state === "listening");
          const carriers = carriersInMhz(here);
          return (
            <>
              <TenSeconds heard={heard} listeningCount={here.length} />
              <p class="caption">
                {here.length === 0
                  ? "Nothing listens now."
                  : `Listening: ${here.map(({ name }) => name).join(", ")}${carriers === "" ? "" : `, on ${carriers}`}.`}
              </p>
              <PressesStrip bursts={heard.bursts} />
              <HeardTable heard={heard} nominalHz={nominalHz} listeningCount={here.length} />
            </>
          );
        }}
      </Waiting>
    </Page>
  );
}
