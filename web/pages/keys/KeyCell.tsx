import type { JSX } from "preact";
import { useContext, useEffect, useRef, useState } from "preact/hooks";
import { KeysContext } from "../../device.ts";
import { type Action, type ActionId, actionOf, whyNoKey } from "../../model/actions.ts";
import { chordWords, type KeyPress, keysOf, withDefaultKey, withKey, withoutKey } from "../../model/keyMap.ts";

interface Refused {
  readonly because: string;
  readonly press: KeyPress;
  readonly taken: ActionId | undefined;
}

/** The keys of an action, and the way to give it another. */
export function KeyCell({ action }: { readonly action: Action }): JSX.Element {
  const { keys, changeKeys } = useContext(KeysContext);
  const [waiting, setWaiting] = useState(false);
  const [refused, setRefused] = useState<Refused>();
  const change = useRef<HTMLButtonElement>(null);
  const waits = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (waiting) waits.current?.focus();
  }, [waiting]);
  const end = () => {
    setWaiting(false);
    // The button comes back with the next drawing.
    setTimeout(() => change.current?.focus());
  };
  const take = (press: KeyPress, map = keys) => {
    const remapped = withKey(map, action.id, press);
    if (remapped.ok) {
      changeKeys(remapped.map);
      setRefused(undefined);
      end();
    } else setRefused({ because: remapped.because, press, taken: remapped.taken });
  };
  const key = (event: KeyboardEvent) => {
    // Held keys say nothing alone, and Tab goes on as everywhere.
    if (["Shift", "Control", "Alt", "Meta", "Tab"].includes(event.key)) return;
    event.preventDefault();
    event.stopPropagation();
    if (event.key === "Escape") end();
    else take(event);
  };
  const shown = keysOf(keys, action);
  const isChanged = keys.changed[action.id] !== undefined;
  if (action.keyPlaces.length === 0) return <span class="none">none: {lowered(whyNoKey(action) ?? "")}</span>;
  if (waiting) {
    return (
      <div class="key-cell">
        <button
          ref={waits}
          type="button"
          class="button small"
          onKeyDown={key}
          onBlur={(event) => {
            // What says that the key is taken stands beside, and may be pressed.
            const to = event.relatedTarget;
            if (!(to instanceof Node) || !event.currentTarget.parentElement?.contains(to)) setWaiting(false);
          }}
        >
          Press the new key; Esc leaves it
        </button>
        <Refusal refused={refused} onTake={(press, taken) => take(press, withoutKey(keys, taken))} />
      </div>
    );
  }
  return (
    <div class="key-cell">
      {shown.length === 0 ? (
        <span class="none">no key</span>
      ) : (
        shown.map((one) => <kbd key={one}>{chordWords(one)}</kbd>)
      )}
      <button
        ref={change}
        type="button"
        class="button small"
        onClick={() => {
          setRefused(undefined);
          setWaiting(true);
        }}
      >
        Change<span class="heard-only"> the key of {action.name}</span>
      </button>
      {isChanged && (
        <button type="button" class="button small" onClick={() => changeKeys(withDefaultKey(keys, action.id))}>
          As it came<span class="heard-only">: {action.name}</span>
        </button>
      )}
      {shown.length > 0 && isChanged && (
        <button type="button" class="button small" onClick={() => changeKeys(withoutKey(keys, action.id))}>
          No key<span class="heard-only"> for {action.name}</span>
        </button>
      )}
    </div>
  );
}

interface RefusalProps {
  readonly refused: Refused | undefined;
  readonly onTake: (press: KeyPress, taken: ActionId) => void;
}

function Refusal({ refused, onTake }: RefusalProps): JSX.Element {
  const taken = refused?.taken;
  return (
    <span role="alert">
      {refused?.because}{" "}
      {refused && taken && (
        <button type="button" class="button small" onClick={() => onTake(refused.press, taken)}>
          Take it from “{actionOf(taken).name}”
        </button>
      )}
    </span>
  );
}

function lowered(words: string): string {
  return words.slice(0, 1).toLowerCase() + words.slice(1);
}
