import type { JSX } from "preact";

/** The one thing that somebody can do next: another page, or something here. */
export type Action =
  | { readonly label: string; readonly href: string }
  | { readonly label: string; readonly onClick: () => void };

export interface EmptyProps {
  /** Why there is nothing, in a sentence. */
  readonly says: string;
  readonly action: Action;
}

/** What stands where a page, a list or a chart has nothing to show. */
export function Empty({ says, action }: EmptyProps): JSX.Element {
  return (
    <div class="empty">
      <p>{says}</p>
      <ActionButton action={action} />
    </div>
  );
}

export function ActionButton({
  action,
  main = false,
}: {
  readonly action: Action;
  readonly main?: boolean;
}): JSX.Element {
  const look = main ? "button main" : "button";
  if ("href" in action) {
    return (
      <a class={look} href={action.href}>
        {action.label}
      </a>
    );
  }
  return (
    <button type="button" class={look} onClick={action.onClick}>
      {action.label}
    </button>
  );
}
