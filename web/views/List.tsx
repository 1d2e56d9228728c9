import type { ComponentChildren, JSX } from "preact";
import { Empty, type EmptyProps } from "./Empty.tsx";

interface ListProps<T> {
  readonly items: readonly T[];
  readonly keyOf: (item: T) => string;
  readonly children: (item: T) => ComponentChildren;
  readonly empty: EmptyProps;
  readonly class?: string;
  /** What the list is of, for those who hear the page. */
  readonly label: string;
}

/** A list that is never empty without a sentence and one action. */
export function List<T>({ items, keyOf, children, empty, label, ...rest }: ListProps<T>): JSX.Element {
  if (items.length === 0) return <Empty {...empty} />;
  return (
    <ul class={`list ${rest.class ?? ""}`} aria-label={label}>
      {items.map((item) => (
        <li key={keyOf(item)}>{children(item)}</li>
      ))}
    </ul>
  );
}
