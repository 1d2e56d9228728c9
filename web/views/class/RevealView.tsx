import type { ComponentChildren, JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import type { RevealBody, SittingBody } from "../../../server/http/wire/exercises.ts";
import { CauseList } from "../CauseList.tsx";
import { LadderWalk } from "./LadderWalk.tsx";
import { SignalPicture } from "./SignalPicture.tsx";

interface RevealViewProps {
  readonly reveal: RevealBody;
  readonly state: SittingBody["state"];
  readonly tries: number;
  /** Whether it came while the page was open. */
  readonly cameNow: boolean;
  /** What can be done next. */
  readonly after?: ComponentChildren;
}

/** What is told once an exercise is over: the answer and why, and the check ladder on the recording itself. */
export function RevealView({ reveal, state, tries, cameNow, after }: RevealViewProps): JSX.Element {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    // It comes below what was pressed: whoever ends the exercise is led there.
    if (!cameNow) return;
    heading.current?.focus({ preventScroll: true });
    heading.current?.scrollIntoView({ block: "nearest" });
  }, []);
  const { answer, says, ladder, ladderOf, picture, ranked, sources } = reveal;
  return (
    <section class="reveal" aria-labelledby="reveal-heading">
      <h2 id="reveal-heading" tabIndex={-1} ref={heading}>
        {state === "solved" ? `Solved${tries > 1 ? ` with answer ${tries}` : ""}` : "The answer"}
      </h2>
      <p class="reveal-answer">{answer}</p>
      <p class="reveal-says">{says}</p>
      {picture && (
        <SignalPicture
          caption={
            ladderOf === null || ladderOf === "the whole recording"
              ? "That moment of the recording"
              : sentence(ladderOf)
          }
          picture={picture}
          frequency
        />
      )}
      {ladder.length > 0 && <LadderWalk rungs={ladder} of={ladderOf ?? "the recording"} />}
      {ranked.length > 0 && (
        <section aria-labelledby="causes-heading">
          <h3 id="causes-heading">What the diagnosis makes of it</h3>
          <CauseList causes={ranked.map((cause) => ({ ...cause, id: cause.words }))} />
        </section>
      )}
      <section aria-labelledby="sources-heading">
        <h3 id="sources-heading">Sources</h3>
        <ul class="plain">
          {sources.map((source) => (
            <li key={source}>{source}</li>
          ))}
        </ul>
      </section>
      {after}
    </section>
  );
}
