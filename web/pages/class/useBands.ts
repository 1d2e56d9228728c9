import { useCallback, useEffect, useState } from "preact/hooks";
import type { LinkSettings } from "../../../decoders/radio/link.ts";
import { bandsSearch, settingsOf } from "../../model/class/twoBands.ts";

export interface BandsHere {
  readonly settings: LinkSettings;
  readonly change: (change: Partial<LinkSettings>) => void;
}

/** A browser refuses addresses that change too often. */
const ADDRESS_MS = 250;

/** What both bands are set by, kept in the address. */
export function useBands(): BandsHere {
  const [settings, setSettings] = useState(() => settingsOf(location.search));
  useEffect(() => {
    const follow = () => setSettings(settingsOf(location.search));
    window.addEventListener("popstate", follow);
    return () => window.removeEventListener("popstate", follow);
  }, []);
  useEffect(() => {
    const search = bandsSearch(settings);
    if (search === location.search) return;
    const timer = setTimeout(() => history.replaceState(null, "", location.pathname + search), ADDRESS_MS);
    return () => clearTimeout(timer);
  }, [settings]);
  const change = useCallback((changed: Partial<LinkSettings>) => {
    setSettings((before) => ({ ...before, ...changed }));
  }, []);
  return { settings, change };
}
