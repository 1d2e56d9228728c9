import type { JSX } from "preact";
import { useContext } from "preact/hooks";
import { KeysContext } from "../../device.ts";
import { KEY_PLACE_WORDS, PLACES } from "../../model/actions/action.ts";
import { ACTIONS, type Action } from "../../model/actions.ts";
import { DEFAULT_KEY_MAP } from "../../model/keyMap.ts";
import { counted, listed } from "../../model/quantities.ts";
import { Page } from "../../views/Page.tsx";
import { Table } from "../../views/Table.tsx";
import { KeyCell } from "./KeyCell.tsx";

const PARTS: readonly (readonly [heading: string, pages: readonly string[]])[] = [
  ["On every page", ["every"]],
  ["On a recording", ["recording"]],
  ["In the list of recordings", ["recordings"]],
  ["On jobs and their wheels", ["jobs", "job", "wheel"]],
  ["On “Is it sending?”", ["sending"]],
  ["On layouts, receivers, settings and keys", ["layouts", "receivers", "settings", "keys"]],
];

/** Every action with its place, its key and what another program asks for instead; here keys are changed, too. */
export function KeysPage(): JSX.Element {
  const { keys, changeKeys } = useContext(KeysContext);
  const changed = Object.keys(keys.changed).length;
  return (
    <Page
      title="Keys and actions"
      lead="All that can be done on the pages: what it is called, where it stands, its key, and how another program asks for it."
    >
      <div class="keys">
        <section aria-labelledby="when">
          <h2 id="when">When keys act</h2>
          <p>
            Letters and other single keys act only while a band of a recording has the focus: press Tab until its
            drawing is ringed. Everywhere else they only type. Ctrl + K, on a Mac Command + K, opens the list of actions
            on every page. Some browsers use it for their own search box; it stays with them in all other windows, and
            Ctrl + L still leads to the address line.
          </p>
          <label class="check">
            <input
              type="checkbox"
              checked={keys.singleKeys}
              onChange={(event) => changeKeys({ ...keys, singleKeys: event.currentTarget.checked })}
            />
            <span>Single keys act in a band that has the focus</span>
          </label>
          <p class="caption" role="status">
            {keys.singleKeys
              ? `Letters, digits and signs act in bands; ${changed === 0 ? "all keys are as they came" : `${counted(changed, "action")} changed on this device`}.`
              : "Letters, digits and signs do nothing anywhere; keys such as Page Up and Ctrl + K still act."}
          </p>
          <p class="form-foot">
            <button
              type="button"
              class="button"
              disabled={changed === 0}
              onClick={() => changeKeys({ ...DEFAULT_KEY_MAP, singleKeys: keys.singleKeys })}
            >
              All keys as they came
            </button>
            <button type="button" class="button" onClick={() => print()}>
              Print the keys
            </button>
          </p>
        </section>
        {PARTS.map(([heading, pages]) => (
          <section key={heading}>
            <h2>{heading}</h2>
            <ActionTable
              caption={heading}
              actions={ACTIONS.filter(({ place }) => pages.includes(PLACES[place].page))}
            />
          </section>
        ))}
        <p class="caption">
          Tab, Enter, Space, Escape, Home, End and the arrow keys do what they do in every list and form, and stay as
          they are. <a href="/help">Help</a> says what each does here.
        </p>
      </div>
    </Page>
  );
}

function ActionTable({ caption, actions }: { readonly caption: string; readonly actions: readonly Action[] }) {
  return (
    <Table
      caption={`${caption}: ${counted(actions.length, "action")}`}
      rows={actions}
      keyOf={({ id }) => id}
      empty={{ says: "There is nothing to do there.", action: { label: "Help", href: "/help" } }}
      columns={[
        { name: "What", cell: ({ name }) => name },
        { name: "Where", cell: ({ place }) => PLACES[place].words },
        { name: "Key", cell: (action) => <KeyCell action={action} /> },
        { name: "Acts in", cell: ({ keyPlaces }) => actsIn(keyPlaces) },
        { name: "For other programs", cell: ({ counterpart }) => <Counterpart words={counterpart} /> },
      ]}
    />
  );
}

function actsIn(places: Action["keyPlaces"]): string {
  if (places.length === 0) return "–";
  if (places.length === BANDS) return "every band";
  return listed(places.map((place) => KEY_PLACE_WORDS[place]));
}

/** All places but “on every page”. */
const BANDS = Object.keys(KEY_PLACE_WORDS).length - 1;

function Counterpart({ words }: { readonly words: string }): JSX.Element {
  if (words.startsWith("none")) return <span class="none">{words}</span>;
  // A path may break before a slash, and nowhere inside a word.
  return (
    <code>
      {words.split(/(?=\/)/).map((part) => (
        <span key={part}>
          <wbr />
          {part}
        </span>
      ))}
    </code>
  );
}
