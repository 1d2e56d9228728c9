import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { hitCount, SEARCH_EXAMPLES, type Searched, type SearchHit, stepped } from "../../model/recording/search.ts";
import "./search.css";

interface SearchBarProps {
  readonly text: string;
  readonly onText: (text: string) => void;
  /** What `text` came to. */
  readonly searched: Searched;
  /** The key of the hit that is shown; `undefined` for none yet. */
  readonly at: string | undefined;
  readonly onHit: (hit: SearchHit) => void;
  /** Where the first step begins. */
  readonly fromSeconds: number;
}

/** Looks for something in the recording, and goes from hit to hit: Enter to the next, Shift and Enter to the one before. */
export function SearchBar(props: SearchBarProps): JSX.Element {
  const { text, onText, searched, at, onHit, fromSeconds } = props;
  const id = useId();
  const hits = searched.ok ? searched.hits : [];
  const shown = hits.find(({ key }) => key === at);
  const step = (by: 1 | -1) => {
    const hit = stepped(hits, at, by, fromSeconds);
    if (hit) onHit(hit);
  };
  const key = (event: KeyboardEvent) => {
    if (event.key === "Enter") step(event.shiftKey ? -1 : 1);
    else if (event.key === "Escape" && text !== "") onText("");
    else return;
    event.preventDefault();
  };
  const isAsked = text.trim() !== "";
  const none = isAsked && hits.length === 0;
  return (
    <search class="search-bar" aria-label="Search in this recording">
      <label class="search-label" for={`${id}-box`}>
        Search
      </label>
      <input
        id={`${id}-box`}
        class="search-box"
        type="text"
        value={text}
        autocomplete="off"
        spellcheck={false}
        placeholder="sensor ID, bits, value, reason"
        aria-describedby={`${id}-says`}
        aria-invalid={!searched.ok}
        onInput={(event) => onText(event.currentTarget.value)}
        onKeyDown={key}
      />
      {isAsked && (
        <>
          <span class="search-count">{searched.ok ? hitCount(hits, at) : "not understood"}</span>
          <button type="button" class="button small" disabled={hits.length === 0} onClick={() => step(-1)}>
            Previous hit
          </button>
          <button type="button" class="button small" disabled={hits.length === 0} onClick={() => step(1)}>
            Next hit
          </button>
          <button type="button" class="button small" onClick={() => onText("")}>
            Clear
          </button>
        </>
      )}
      <p id={`${id}-says`} class="search-says caption" role="status">
        {isAsked ? saysOf(searched, shown) : ""}
      </p>
      {none && (
        <p class="search-examples caption">
          {"You can look for "}
          {SEARCH_EXAMPLES.map((example, i) => (
            <span key={example}>
              {i === 0 ? "" : ", "}
              <button type="button" class="plain-button" onClick={() => onText(example)}>
                {example}
              </button>
            </span>
          ))}
          .
        </p>
      )}
    </search>
  );
}

function saysOf(searched: Searched, shown: SearchHit | undefined): string {
  if (!searched.ok) return searched.says;
  if (searched.hits.length === 0) return `Nothing here has ${searched.says}.`;
  if (shown === undefined) return `${searched.hits.length} found: ${searched.says}. Enter goes to the first.`;
  return `${hitCount(searched.hits, shown.key)}, at ${shown.fromSeconds.toFixed(3)}\u202fs: ${shown.says}`;
}
