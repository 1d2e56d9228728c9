import { createContext } from "preact";
import { useContext, useEffect, useRef } from "preact/hooks";
import { type ActionId, isActionId } from "./model/actions.ts";

/** What the page that is open does itself when an action is asked for. */
export interface ActionsHere {
  /** `undefined`: the page has no handler for it. */
  readonly find: (id: ActionId) => Handler | undefined;
  /** @returns Takes it away again. */
  readonly add: (id: ActionId, handler: () => Handler) => () => void;
}

interface Handler {
  readonly run: () => void;
  /** Whether it would change anything now. */
  readonly enabled: boolean;
}

export function createActions(): ActionsHere {
  const handlers = new Map<ActionId, () => Handler>();
  return {
    find: (id) => handlers.get(id)?.(),
    add(id, handler) {
      handlers.set(id, handler);
      return () => {
        // Another one of the same may have come before this one went.
        if (handlers.get(id) === handler) handlers.delete(id);
      };
    },
  };
}

/** Nothing can be done, for parts that are drawn without their page. */
const NOTHING: ActionsHere = { find: () => undefined, add: () => () => undefined };

export const ActionsContext = createContext<ActionsHere>(NOTHING);

/**
 * Says what an action does while the component is shown: for the palette, and for its keys in the bands.
 *
 * @param run May be another function each time; the newest is taken.
 */
export function useAction(id: ActionId, run: () => void, enabled = true): void {
  useActions({ [id]: enabled ? run : undefined });
}

/** As `useAction` for several at once; an entry that is `undefined` is there and cannot be done now. */
export function useActions(all: Readonly<Partial<Record<ActionId, (() => void) | undefined>>>): void {
  const actions = useContext(ActionsContext);
  const newest = useRef(all);
  newest.current = all;
  const ids = Object.keys(all).join(" ");
  useEffect(() => {
    const ends = idsOf(newest.current).map((id) =>
      actions.add(id, () => {
        const run = newest.current[id];
        return { run: run ?? (() => undefined), enabled: run !== undefined };
      }),
    );
    return () => {
      for (const end of ends) end();
    };
  }, [actions, ids]);
}

function idsOf(all: Readonly<Partial<Record<ActionId, unknown>>>): ActionId[] {
  return Object.keys(all).filter(isActionId);
}
