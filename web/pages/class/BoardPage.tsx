import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { LessonBody } from "../../../server/http/wire/lessons.ts";
import { lesson } from "../../calls/lessons.ts";
import { keepProjector, keptProjector } from "../../device.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { classSays } from "../../model/class/boardWords.ts";
import { type Projector, projectorFrom } from "../../model/class/projector.ts";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { Answers } from "./Answers.tsx";
import { BoardBar } from "./BoardBar.tsx";
import { BoardGrid } from "./BoardGrid.tsx";
import { JoinBox } from "./JoinBox.tsx";
import "./lesson.css";

/** Minutes go on though nothing happens. */
const AGAIN_MS = 10_000;

/** The board of a lesson, for the wall: who sits, how far each came, and who is stuck where. */
export function BoardPage({ code }: { readonly code: string }): JSX.Element {
  const loaded = useLoaded(code, () => lesson(code));
  const { reload } = loaded;
  useLiveReload(["lesson", "snapshot"], reload);
  useEffect(() => {
    const timer = setInterval(reload, AGAIN_MS);
    return () => clearInterval(timer);
  }, [reload]);
  const title = loaded.state === "there" ? `Class board: ${loaded.value.set.title}` : "Class board";
  return (
    <Page title={title} lead={loaded.state === "there" ? classSays(loaded.value) : undefined}>
      <Waiting loaded={loaded} what="the lesson">
        {(now) => <Board now={now} onChanged={loaded.put} />}
      </Waiting>
    </Page>
  );
}

interface BoardProps {
  readonly now: LessonBody;
  readonly onChanged: (now: LessonBody) => void;
}

function Board({ now, onChanged }: BoardProps): JSX.Element {
  const [projector, setProjector] = useState(() => projectorFrom(keptProjector()));
  const change = (changed: Projector) => {
    setProjector(changed);
    keepProjector(JSON.stringify(changed));
  };
  useContrast(projector.contrast);
  return (
    <div class="board" data-size={projector.size}>
      <BoardBar now={now} projector={projector} onProjector={change} onChanged={onChanged} />
      {now.endedAt === null && <JoinBox now={now} />}
      <section aria-labelledby="stuck">
        <h2 id="stuck">Who is stuck where</h2>
        <ul class="plain-list board-rungs" aria-live="polite">
          {now.rungs.map(({ rung, stuck, says }) => (
            <li key={rung ?? "none"}>
              {stuck.length > 0 ? <Mark strength="look here" words={capital(says)} /> : capital(says)}
            </li>
          ))}
        </ul>
      </section>
      <BoardGrid now={now} size={projector.size} />
      <Answers now={now} onChanged={onChanged} />
    </div>
  );
}

/** On the whole page, since what shines beside the board takes its contrast away. */
function useContrast(contrast: Projector["contrast"]): void {
  useEffect(() => {
    const root = document.documentElement;
    if (contrast === "as the pages") delete root.dataset["projector"];
    else root.dataset["projector"] = contrast;
    return () => void delete root.dataset["projector"];
  }, [contrast]);
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
