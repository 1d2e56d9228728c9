import type { JSX } from "preact";
import { resultAddress, studyPlot } from "../../calls/studies.ts";
import { useLoaded } from "../../loaded.ts";
import { plotWords } from "../../model/study/plotWords.ts";
import { Waiting } from "../../views/Waiting.tsx";

interface StudyPlotProps {
  readonly id: string;
  readonly name: string;
  /** Another one where the file has changed. */
  readonly version: string;
}

/** A plot as its file has it: a picture that says its finding itself, and the same in words for who does not see it. */
export function StudyPlot({ id, name, version }: StudyPlotProps): JSX.Element {
  const loaded = useLoaded(`plot ${id} ${name} ${version}`, () => studyPlot(id, name));
  return (
    <figure class="study-plot">
      <Waiting loaded={loaded} what={`the plot ${name}`}>
        {(svg) => {
          const { title, description } = plotWords(svg);
          return (
            <>
              {/* biome-ignore lint/a11y/noNoninteractiveTabindex: on a narrow page it scrolls, and has to be reached by keys */}
              <section class="plot-frame" tabIndex={0} aria-label={title}>
                <img src={resultAddress(id, name)} alt={`${title} ${description}`} loading="lazy" />
              </section>
              <figcaption>
                <details>
                  <summary>In words</summary>
                  <p>{`${title} ${description}`}</p>
                </details>
              </figcaption>
            </>
          );
        }}
      </Waiting>
    </figure>
  );
}
