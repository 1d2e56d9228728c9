import type { JSX } from "preact";
import type { ReceiverBody } from "../../server/http/wire.ts";
import { List } from "./List.tsx";

interface ReceiverChoiceProps {
  readonly all: readonly ReceiverBody[];
  /** Their ids. */
  readonly chosen: readonly string[];
  /** What listens to them. */
  readonly what: "visit" | "lot";
  readonly busy: boolean;
  readonly onChange: (ids: string[], says: string) => void;
}

/** Which of the receivers something takes its telegrams from. */
export function ReceiverChoice({ all, chosen, what, busy, onChange }: ReceiverChoiceProps): JSX.Element {
  return (
    <List
      label="Receivers"
      items={all}
      keyOf={({ id }) => id}
      empty={{
        says: `No receiver is connected, so nothing new can be heard ${what === "visit" ? "on this visit" : "for this lot"}.`,
        action: { label: "Connect a receiver", href: "/receivers" },
      }}
    >
      {({ id, name, says }) => {
        const others = chosen.filter((one) => one !== id);
        const isChosen = chosen.includes(id);
        return (
          <label class="check">
            <input
              type="checkbox"
              checked={isChosen}
              disabled={busy}
              onChange={() =>
                isChosen
                  ? onChange(others, `The ${what} no longer listens to ${name}.`)
                  : onChange([...others, id], `The ${what} listens to ${name}.`)
              }
            />
            <span>
              {name}: {says}
            </span>
          </label>
        );
      }}
    </List>
  );
}
