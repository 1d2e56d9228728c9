import type { ComponentChildren, JSX } from "preact";
import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { receivers } from "./calls/receivers.ts";
import { keepEntry } from "./device.ts";
import { useLiveReload } from "./live.ts";
import { useLoaded } from "./loaded.ts";
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
  return (
    <div class="shell">
      <a class="skip" href="#main">
        To the page's main part
      </a>
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
        {children}
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
