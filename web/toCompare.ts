import { useEffect, useState } from "preact/hooks";
import { COMPARE_KEY, keepToCompare, keptToCompare } from "./device.ts";
import { type Tray, type TrayEntry, toggled, trayFrom, trayText } from "./model/compare/tray.ts";

export interface ToCompare {
  readonly tray: Tray;
  readonly toggle: (entry: TrayEntry) => void;
  readonly clear: () => void;
}

/** What is put aside to be compared, the same on every page and in every tab of this device. */
export function useToCompare(): ToCompare {
  const [tray, setTray] = useState(() => trayFrom(keptToCompare()));
  useEffect(() => {
    const here = () => setTray(trayFrom(keptToCompare()));
    const elsewhere = (event: StorageEvent) => {
      if (event.key === COMPARE_KEY || event.key === null) here();
    };
    window.addEventListener(CHANGED, here);
    window.addEventListener("storage", elsewhere);
    return () => {
      window.removeEventListener(CHANGED, here);
      window.removeEventListener("storage", elsewhere);
    };
  }, []);
  const put = (next: Tray) => {
    keepToCompare(trayText(next));
    window.dispatchEvent(new Event(CHANGED));
    // Last, so that it holds on this page also where the device keeps nothing.
    setTray(next);
  };
  return { tray, toggle: (entry) => put(toggled(tray, entry)), clear: () => put([]) };
}

/** A browser tells other tabs of a change, and not the page that made it. */
const CHANGED = "wheelgram-to-compare";
