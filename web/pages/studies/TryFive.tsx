import type { JSX } from "preact";
import { useCallback } from "preact/hooks";
import { study as askStudy } from "../../calls/studies.ts";
import { useLive } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { WHOLE_STUDY } from "../../model/study/address.ts";
import { isAtWork, standingWords } from "../../model/study/studyWords.ts";
import { Waiting } from "../../views/Waiting.tsx";
import { StudyLadder } from "./StudyLadder.tsx";

/** What five of the inputs come to with the settings as they are now. */
export function TryFive({ id }: { readonly id: string }): JSX.Element {
  const loaded = useLoaded(`study ${id}`, () => askStudy(id));
  const { reload } = loaded;
  useLive(
    "study",
    useCallback(
      (event) => {
        if (event.id === id) reload();
      },
      [id, reload],
    ),
  );
  return (
    <Waiting loaded={loaded} what="the try">
      {(tried) => (
        <div class="try-five">
          <p class="answer-line" role="status">
            {standingWords(tried)}
          </p>
          {isAtWork(tried) && <progress max={1} value={tried.share} aria-label="How far the try is" />}
          {tried.state === "done" && (
            <>
              <StudyLadder study={tried} view={WHOLE_STUDY} caption="Of the five. Each count leads to its bursts" />
              <p>
                <a href={`/studies/${id}`}>Look at the five</a>
              </p>
            </>
          )}
        </div>
      )}
    </Waiting>
  );
}
