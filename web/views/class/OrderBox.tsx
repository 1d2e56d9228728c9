import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import { moved } from "../../model/class/answerDraft.ts";

interface OrderBoxProps {
  readonly options: readonly { readonly id: string; readonly words: string }[];
  readonly order: readonly string[];
  readonly onChange: (order: readonly string[]) => void;
}

/** A list that is put in order with two buttons a line; nothing has to be dragged. */
export function OrderBox({ options, order, onChange }: OrderBoxProps): JSX.Element {
  const list = useRef<HTMLOListElement>(null);
  const [last, setLast] = useState<{ readonly id: string; readonly by: -1 | 1 }>();
  const wordsOf = (id: string) => options.find((option) => option.id === id)?.words ?? id;
  useEffect(() => {
    // A line that was moved takes the focus with it; at either end the other button has it.
    if (!last) return;
    const line = [...(list.current?.children ?? [])][order.indexOf(last.id)];
    const buttons = [...(line?.querySelectorAll("button") ?? [])];
    const mine = buttons[last.by === -1 ? 0 : 1];
    (mine?.disabled ? buttons.find((button) => !button.disabled) : mine)?.focus();
  }, [last]);
  const move = (id: string, by: -1 | 1) => {
    onChange(moved(order, id, by));
    setLast({ id, by });
  };
  return (
    <>
      <ol class="order-box" ref={list} aria-label="The order">
        {order.map((id, i) => (
          <li key={id}>
            <span class="order-words">{wordsOf(id)}</span>
            <span class="order-buttons">
              <button type="button" class="button small" disabled={i === 0} onClick={() => move(id, -1)}>
                Up<span class="heard-only">: {wordsOf(id)}</span>
              </button>
              <button type="button" class="button small" disabled={i === order.length - 1} onClick={() => move(id, 1)}>
                Down<span class="heard-only">: {wordsOf(id)}</span>
              </button>
            </span>
          </li>
        ))}
      </ol>
      <p class="heard-only" role="status">
        {last && `${wordsOf(last.id)} is number ${order.indexOf(last.id) + 1} of ${order.length}`}
      </p>
    </>
  );
}
