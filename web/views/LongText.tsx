import type { JSX } from "preact";

interface LongTextProps {
  /** What it is, for those who hear the page. */
  readonly label: string;
  readonly text: string;
}

/** A text in fixed width that scrolls in itself, by keys too. */
export function LongText({ label, text }: LongTextProps): JSX.Element {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, and has to be reached by keys
    <section class="long-text" tabIndex={0} aria-label={label}>
      <pre>{text}</pre>
    </section>
  );
}
