import type { ComponentChildren, JSX } from "preact";
import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import type { NetworkBody } from "../server/http/wire/devices.ts";
import { REFUSED } from "./api.ts";
import { network as askNetwork } from "./calls/devices.ts";
import { fleet } from "./calls/fleet.ts";
import { receivers } from "./calls/receivers.ts";
import { keepEntry } from "./device.ts";
import { useLiveReload } from "./live.ts";
import { type Loaded, useLoaded } from "./loaded.ts";
import { pillOf } from "./model/receiverWords.ts";
import { addressOf, ENTRIES, type Entry, entryOf, type Route } from "./model/route.ts";
import { Icon } from "./views/Icon.tsx";
import { Palette } from "./views/palette/Palette.tsx";
import { useKeysOfPages } from "./views/palette/useKeysOfPages.ts";

interface ShellProps {
  readonly route: Route | undefined;
  readonly children: ComponentChildren;
}

/** What stands around every page: the five entries, the receivers' pill, and the ways to settings, words and help. */
export function Shell({ route, children }: ShellProps): JSX.Element {
  const entry = route && entryOf(route);
  const address = route === undefined ? "" : addressOf(route);
  useEffect(() => {
    if (entry !== undefined) keepEntry(entry);
  }, [entry]);
  useFocusOnTitle(address);
  const [paletteIsOpen, setPaletteOpen] = useState(false);
  const openPalette = useCallback(() => setPaletteOpen(true), []);
  useKeysOfPages(route, openPalette);
  const network = useNetwork();
  const asked = useLoaded("fleet", fleet);
  const isOfFleet = asked.state === "there" && asked.value.fleet !== null;
  const isLetGo = network.state === "there" && network.value.open && !network.value.here && !network.value.device;
  return (
    <div class="shell">
      <a class="skip" href="#main">
        To the page's main part
      </a>
      {network.state === "there" && <NetworkBanner now={network.value} />}
      <header class="top">
        <a class="name" href="/">
          Wheelgram
        </a>
        <button type="button" class="palette-open" aria-haspopup="dialog" onClick={openPalette}>
          <Icon name="actions" />
          What can I do here?
        </button>
        <ReceiversPill />
        <nav class="aside-links" aria-label="Besides">
          {isOfFleet && (
            <a href="/fleet" aria-current={route?.page === "fleet" ? "page" : undefined}>
              Fleet
            </a>
          )}
          {BESIDES.map(([page, words]) => (
            <a key={page} href={`/${page}`} aria-current={route?.page === page ? "page" : undefined}>
              {words}
            </a>
          ))}
        </nav>
      </header>
      <nav class="entries" aria-label="Main">
        {ENTRIES.map((name) => (
          <a key={name} href={`/${name}`} aria-current={entry === name ? "page" : undefined}>
            <Icon name={name} />
            <span>{ENTRY_WORDS[name]}</span>
          </a>
        ))}
      </nav>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls on a narrow page, and has to be reached by keys */}
      <main id="main" tabIndex={0}>
        {isLetGo && route?.page !== "pair" ? <LetGo /> : children}
      </main>
      {paletteIsOpen && <Palette route={route} onClose={() => setPaletteOpen(false)} />}
    </div>
  );
}

const ENTRY_WORDS: Readonly<Record<Entry, string>> = {
  jobs: "Jobs",
  bench: "Bench",
  recordings: "Recordings",
  layouts: "Layouts",
  class: "Class",
};

const BESIDES = [
  ["sending", "Is it sending?"],
  ["settings", "Settings"],
  ["words", "Words"],
  ["help", "Help"],
] as const;

/** How the network stands, asked again when the server refuses this device. */
function useNetwork(): Loaded<NetworkBody> {
  const loaded = useLoaded("network", askNetwork);
  const { reload } = loaded;
  useEffect(() => {
    addEventListener(REFUSED, reload);
    return () => removeEventListener(REFUSED, reload);
  }, [reload]);
  return loaded;
}

/** On every page while the server is open to the network. */
function NetworkBanner({ now }: { readonly now: NetworkBody }): JSX.Element | null {
  if (!now.open || !(now.here || now.device)) return null;
  const count = now.deviceCount === 1 ? "1 device" : `${now.deviceCount} devices`;
  return (
    <aside class="banner" aria-label="The network">
      {now.here ? `Open to the network: ${count} may come in.` : `Over the network, as ${now.device?.name}.`}
      {!now.secure && " Without encryption: anybody on it can read along."} <a href="/devices">Devices</a>
    </aside>
  );
}

/** In the place of every page, on a device that is not let in or was let go. */
function LetGo(): JSX.Element {
  return (
    <div role="alert">
      <h1 tabIndex={-1}>This device is not let in</h1>
      <p>
        It was let go, its key has run out, or it never was. What you typed here and was not sent yet stays on this
        device, and goes on when it is let in again.
      </p>
      <p>Ask for a code at the computer that runs Wheelgram, at Devices, and open it on this device.</p>
    </div>
  );
}

function ReceiversPill(): JSX.Element {
  const loaded = useLoaded("receivers", receivers);
  useLiveReload(["receiver", "snapshot"], loaded.reload);
  const pill = pillOf(loaded.state === "there" ? loaded.value : undefined);
  const words = loaded.state === "failed" ? "server not reached" : pill.words;
  return (
    <a class={pill.listening ? "pill" : "pill pill-none"} href="/receivers">
      <span class="pill-what">Receivers</span> <span class="pill-words">{words}</span>
    </a>
  );
}

/** After a change of page what is read first is its title; the first page is left as the browser shows it. */
function useFocusOnTitle(address: string): void {
  const shown = useRef(address);
  useEffect(() => {
    if (shown.current === address) return;
    shown.current = address;
    document.querySelector("h1")?.focus({ preventScroll: true });
  }, [address]);
}
