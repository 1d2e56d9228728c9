import { useContext, useEffect } from "preact/hooks";
import { ActionsContext } from "../../actionsHere.ts";
import { useKeys } from "../../device.ts";
import { KEY_PLACES, type KeyPlace } from "../../model/actions/action.ts";
import { actionOf } from "../../model/actions.ts";
import { actionOfKey } from "../../model/keyMap.ts";
import type { Route } from "../../model/route.ts";
import { doableOf } from "./doable.ts";

/**
 * Runs actions by their keys: in a band only while it has the focus, which it says with `data-keys="signal"` on the
 * element that is its tab stop. What a band does with a key itself comes first.
 */
export function useKeysOfPages(route: Route | undefined, openPalette: () => void): void {
  const keys = useKeys();
  const actions = useContext(ActionsContext);
  useEffect(() => {
    const press = (event: KeyboardEvent) => {
      if (event.defaultPrevented || event.isComposing) return;
      if (actionOfKey(keys, event, "anywhere") === "palette.open") {
        if (isEditingOnMac(event)) return;
        event.preventDefault();
        openPalette();
        return;
      }
      const place = isTyped(event.target) ? undefined : bandOf(event.target);
      const id = place && actionOfKey(keys, event, place);
      if (id === undefined) return;
      const doable = doableOf(actionOf(id), route, actions);
      if (doable.state !== "here") return;
      event.preventDefault();
      doable.run();
    };
    document.addEventListener("keydown", press);
    return () => document.removeEventListener("keydown", press);
  }, [keys, actions, route, openPalette]);
}

function bandOf(target: EventTarget | null): KeyPlace | undefined {
  const name = target instanceof Element ? target.closest("[data-keys]")?.getAttribute("data-keys") : undefined;
  return KEY_PLACES.find((place) => place === name && place !== "anywhere");
}

function isTyped(target: EventTarget | null): boolean {
  return target instanceof Element && target.closest("input, textarea, select, [contenteditable]") !== null;
}

/** On a Mac Ctrl+K in a box deletes to the end of the line; there the command key opens the palette. */
function isEditingOnMac({ ctrlKey, target }: KeyboardEvent): boolean {
  return ctrlKey && isTyped(target) && /Mac|iPhone|iPad/.test(navigator.platform);
}
