import type { JSX } from "preact";
import type { NetworkBody } from "../../../server/http/wire/devices.ts";
import { devices, network } from "../../calls/devices.ts";
import { useLoaded } from "../../loaded.ts";
import { List } from "../../views/List.tsx";
import { Page } from "../../views/Page.tsx";
import { PlainHttpNote } from "../../views/PlainHttpNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { DeviceEntry } from "./DeviceEntry.tsx";
import { LetIn } from "./LetIn.tsx";

/** Who may come in from the shop's network. */
export function DevicesPage(): JSX.Element {
  const loaded = useLoaded("network", network);
  return (
    <Page title="Devices" lead="Tablets and computers of the shop that may come in over the network.">
      <Waiting loaded={loaded} what="how the network stands">
        {(now) => (now.here ? <Here now={now} /> : <FromNetwork now={now} />)}
      </Waiting>
      <PlainHttpNote />
    </Page>
  );
}

function FromNetwork({ now }: { readonly now: NetworkBody }): JSX.Element {
  return (
    <p>
      {now.device && `This device came in as ${now.device.name}. `}
      Who may come in is decided at the computer that runs Wheelgram.
    </p>
  );
}

function Here({ now }: { readonly now: NetworkBody }): JSX.Element {
  const all = useLoaded("devices", devices);
  if (!now.open) {
    return (
      <>
        <p>Nobody can come in: the server listens on this computer alone.</p>
        <p>
          To let tablets of the shop in, end it and start it with <code>npm start -- --open-to-network</code>.
        </p>
      </>
    );
  }
  return (
    <>
      <LetIn now={now} known={all.state === "there" ? all.value : undefined} onLook={all.reload} />
      <Waiting loaded={all} what="the devices">
        {(known) => (
          <List
            label="Devices that may come in"
            class="devices"
            items={known}
            keyOf={({ id }) => id}
            empty={{ says: "No device was let in yet.", action: { label: "Settings", href: "/settings" } }}
          >
            {(device) => <DeviceEntry device={device} onChanged={all.reload} />}
          </List>
        )}
      </Waiting>
      {now.fingerprint !== null && (
        <p class="caption">
          The server's certificate is its own, so a browser warns of it once. It is the right one if its SHA-256 is{" "}
          <code>{now.fingerprint}</code>.
        </p>
      )}
    </>
  );
}
