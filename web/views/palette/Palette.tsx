import type { JSX } from "preact";
import { useContext, useEffect, useId, useMemo, useRef, useState } from "preact/hooks";
import { ActionsContext } from "../../actionsHere.ts";
import { useKeys } from "../../device.ts";
import { PLACES } from "../../model/actions/action.ts";
import { ACTIONS, matching } from "../../model/actions.ts";
import { keyOf } from "../../model/keyMap.ts";
import { counted } from "../../model/quantities.ts";
import type { Route } from "../../model/route.ts";
import { Empty } from "../Empty.tsx";
import { type Doable, doableOf } from "./doable.ts";

interface PaletteProps {
  readonly route: Route | undefined;
  readonly onClose: () => void;
}

/** Without the one that has just been done. */
const LISTED = ACTIONS.filter(({ id }) => id !== "palette.open");

const GROUPS = [
  ["here", "Can be done here"],
  ["elsewhere", "On another page, which opens"],
  ["not now", "On this page, not now"],
] as const satisfies readonly (readonly [Doable["state"], string])[];

/**
 * All actions, to be found by a word and run. A dialog as the browser has them: the focus stays in it, Escape closes it,
 * and the focus goes back to where it was.
 *
 * @source ARIA Authoring Practices Guide, patterns “Dialog (Modal)” and “Combobox” with a list.
 */
export function Palette({ route, onClose }: PaletteProps): JSX.Element {
  const dialog = useRef<HTMLDialogElement>(null);
  const list = useRef<HTMLDivElement>(null);
  const id = useId();
  const actions = useContext(ActionsContext);
  const keys = useKeys();
  const [typed, setTyped] = useState("");
  const [activeAt, setActive] = useState(0);
  // What can be done is looked at once: nothing changes behind an open dialog that somebody did.
  const all = useMemo(
    () => new Map(LISTED.map((action) => [action.id, doableOf(action, route, actions)])),
    [route, actions],
  );
  const rows = useMemo(() => {
    const found = matching(LISTED, typed).flatMap(({ id: one }) => all.get(one) ?? []);
    return GROUPS.map(([state, words]) => ({ words, rows: found.filter((row) => row.state === state) }));
  }, [typed, all]);
  const flat = rows.flatMap((group) => group.rows);
  const active = flat[Math.min(activeAt, flat.length - 1)];
  const optionOf = ({ action }: Doable) => `${id}-${action.id}`;

  useEffect(() => dialog.current?.showModal(), []);
  useEffect(() => {
    list.current?.querySelector("[aria-selected=true]")?.scrollIntoView({ block: "nearest" });
  }, [active]);

  const run = (row: Doable | undefined) => {
    if (row === undefined || row.state === "not now") return;
    dialog.current?.close();
    row.run();
  };
  const key = (event: KeyboardEvent) => {
    const to = { ArrowDown: activeAt + 1, ArrowUp: activeAt - 1, PageDown: activeAt + 8, PageUp: activeAt - 8 }[
      event.key
    ];
    if (event.key === "Enter" && !event.isComposing) run(active);
    else if (to === undefined) return;
    else setActive(Math.min(flat.length - 1, Math.max(0, to)));
    event.preventDefault();
  };

  return (
    <dialog ref={dialog} class="palette" aria-labelledby={`${id}-title`} onClose={onClose}>
      <div class="palette-head">
        <h2 id={`${id}-title`}>What can I do here?</h2>
        <button type="button" class="button small" onClick={() => dialog.current?.close()}>
          Close
        </button>
      </div>
      <div class="field">
        <label for={`${id}-box`}>Find an action by a word of it</label>
        <input
          id={`${id}-box`}
          type="text"
          role="combobox"
          // The dialog was asked for in order to type here.
          autofocus
          autocomplete="off"
          aria-expanded={flat.length > 0}
          aria-autocomplete="list"
          aria-controls={`${id}-list`}
          aria-activedescendant={active && optionOf(active)}
          value={typed}
          onInput={(event) => {
            setTyped(event.currentTarget.value);
            setActive(0);
          }}
          onKeyDown={key}
        />
      </div>
      <p class="caption" role="status">
        {typed === "" ? `${counted(LISTED.length, "action")} in all.` : `${counted(flat.length, "action")} fit.`}{" "}
        {active !== undefined && "Arrow keys choose, Enter does it."}
      </p>
      <div ref={list} class="palette-found">
        {flat.length === 0 ? (
          <Empty
            says={`Nothing has “${typed}” in its name or place.`}
            action={{ label: "Show all actions", onClick: () => setTyped("") }}
          />
        ) : (
          <div
            id={`${id}-list`}
            class="palette-list"
            role="listbox"
            tabIndex={0}
            aria-label="Actions"
            aria-activedescendant={active && optionOf(active)}
            onKeyDown={key}
          >
            {rows
              .filter((group) => group.rows.length > 0)
              .map((group) => (
                // biome-ignore lint/a11y/useSemanticElements: a group of options, not of boxes
                <div key={group.words} role="group" aria-label={group.words}>
                  <p class="palette-group" aria-hidden="true">
                    {group.words}
                  </p>
                  {group.rows.map((row) => (
                    // biome-ignore lint/a11y/useKeyWithClickEvents: the keys are those of the box
                    <div
                      key={row.action.id}
                      id={optionOf(row)}
                      class="palette-row"
                      role="option"
                      tabIndex={-1}
                      aria-selected={row === active}
                      aria-disabled={row.state === "not now"}
                      onClick={() => run(row)}
                    >
                      <span class="palette-name">{row.action.name}</span>
                      <KeyShown words={keyOf(keys, row.action.id)} />
                      <span class="palette-place">{PLACES[row.action.place].words}</span>
                    </div>
                  ))}
                </div>
              ))}
          </div>
        )}
      </div>
      <p class="caption">
        <a href="/help/keys" onClick={() => dialog.current?.close()}>
          All of it as a table, and other keys
        </a>
      </p>
    </dialog>
  );
}

function KeyShown({ words }: { readonly words: string | undefined }): JSX.Element | null {
  return words === undefined ? null : <kbd>{words}</kbd>;
}
