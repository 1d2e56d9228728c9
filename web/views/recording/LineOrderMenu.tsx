import type { JSX } from "preact";
import { type FrameLine, lineWords } from "../../model/recording/frameLines.ts";
import { type LineOrder, movedKey, ORDER_WORDS, ORDERS } from "../../model/recording/lineOrder.ts";

interface LineOrderMenuProps {
  /** All lines in the order in which they stand, hidden ones among them. */
  readonly lines: readonly FrameLine[];
  readonly order: LineOrder;
  readonly hidden: readonly string[];
  /** Whether a job says which sensor sits on which wheel. */
  readonly knowsWheels: boolean;
  /** Somebody looks at it. */
  readonly onOpen: () => void;
  readonly onOrder: (order: LineOrder, byHand: readonly string[]) => void;
  readonly onHidden: (keys: readonly string[]) => void;
}

/** In which order the lines stand, and which are shown. Moving one by hand begins from the order there is. */
export function LineOrderMenu(props: LineOrderMenuProps): JSX.Element {
  const { lines, order, hidden, knowsWheels, onOpen, onOrder, onHidden } = props;
  const keys = lines.map(({ key }) => key);
  const move = (key: string, by: number) => onOrder("by hand", movedKey(keys, key, by));
  const hide = (key: string, hide: boolean) => onHidden(hide ? [...hidden, key] : hidden.filter((one) => one !== key));
  return (
    <details class="line-order" onToggle={(event) => event.currentTarget.open && onOpen()}>
      <summary>{`Lines: ${ORDER_WORDS[order]}${hidden.length === 0 ? "" : `; ${hidden.length} not shown`}`}</summary>
      <label class="line-order-choice">
        Order
        <select value={order} onChange={(event) => onOrder(orderOf(event.currentTarget.value), keys)}>
          {ORDERS.filter((one) => one !== "wheel" || knowsWheels || order === "wheel").map((one) => (
            <option key={one} value={one}>
              {ORDER_WORDS[one]}
            </option>
          ))}
        </select>
      </label>
      {!knowsWheels && <p class="caption">By wheel needs a job that this recording belongs to.</p>}
      {hidden.length > 0 && (
        <button type="button" class="button small" onClick={() => onHidden([])}>
          Show all lines
        </button>
      )}
      <ol class="line-list">
        {lines.map((line, i) => (
          <li key={line.key}>
            <span class={hidden.includes(line.key) ? "line-hidden" : ""}>{lineWords(line)}</span>
            <button
              type="button"
              class="button small"
              disabled={i === 0}
              aria-label={`Up: ${line.title}`}
              onClick={() => move(line.key, -1)}
            >
              Up
            </button>
            <button
              type="button"
              class="button small"
              disabled={i === lines.length - 1}
              aria-label={`Down: ${line.title}`}
              onClick={() => move(line.key, 1)}
            >
              Down
            </button>
            <button
              type="button"
              class="button small"
              aria-pressed={hidden.includes(line.key)}
              aria-label={`Hide: ${line.title}`}
              onClick={() => hide(line.key, !hidden.includes(line.key))}
            >
              Hide
            </button>
          </li>
        ))}
      </ol>
    </details>
  );
}

function orderOf(value: string): LineOrder {
  return ORDERS.find((one) => one === value) ?? "first heard";
}
