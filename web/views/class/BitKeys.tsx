import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import { type Stretch, stretchesOf } from "../../model/fieldRuler.ts";
import { bitsRange } from "../../model/layoutWords.ts";

interface BitKeysProps {
  readonly layout: Layout;
  /** As they are sent, one 0 or 1 each. */
  readonly bits: string;
  readonly turned: readonly number[];
  readonly onTurn: (bit: number) => void;
}

/** The frame bit by bit under its fields; each bit is turned by a press. One tab stop, in which arrow keys go along. */
export function BitKeys({ layout, bits, turned, onTurn }: BitKeysProps): JSX.Element {
  const [at, setAt] = useState(0);
  const box = useRef<HTMLDivElement>(null);
  const stretches = stretchesOf(layout);

  const go = (to: number) => {
    const next = Math.min(layout.bits - 1, Math.max(0, to));
    setAt(next);
    box.current?.querySelector<HTMLElement>(`[data-bit="${next}"]`)?.focus();
  };

  const onKey = (event: KeyboardEvent) => {
    const to = STEPS[event.key]?.(at, layout.bits);
    if (to === undefined) return;
    event.preventDefault();
    go(to);
  };

  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset would ask for a legend that stands above already
    <div class="bit-keys" role="group" aria-label="Bits of the frame" ref={box} onKeyDown={onKey}>
      {stretches.map((stretch) => (
        <div key={stretch.at} class={`bit-field bit-field-${stretch.kind}`}>
          <p class="bit-field-name">
            {nameOf(stretch)} <span class="unit">{bitsRange(stretch.at, stretch.bits)}</span>
          </p>
          <div class="bit-row">
            {Array.from({ length: stretch.bits }, (_, i) => stretch.at + i).map((bit) => (
              <button
                key={bit}
                type="button"
                class="bit-key"
                data-bit={bit}
                aria-pressed={turned.includes(bit)}
                aria-label={`Turn bit ${bit}, ${nameOf(stretch)}: ${bits[bit] ?? ""}`}
                tabIndex={bit === Math.min(at, layout.bits - 1) ? 0 : -1}
                onFocus={() => setAt(bit)}
                onClick={() => onTurn(bit)}
              >
                {bits[bit]}
              </button>
            ))}
          </div>
        </div>
      ))}
    </div>
  );
}

const STEPS: Readonly<Record<string, (at: number, count: number) => number>> = {
  ArrowRight: (at) => at + 1,
  ArrowLeft: (at) => at - 1,
  ArrowDown: (at) => at + 8,
  ArrowUp: (at) => at - 8,
  Home: () => 0,
  End: (_, count) => count - 1,
};

function nameOf({ kind, name }: Stretch): string {
  return kind === "check" ? `check (${name})` : name;
}
