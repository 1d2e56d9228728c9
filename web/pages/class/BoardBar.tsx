import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { LessonBody } from "../../../server/http/wire/lessons.ts";
import type { Problem } from "../../api.ts";
import { endLesson, resetLesson } from "../../calls/lessons.ts";
import { PROJECTOR_CONTRASTS, PROJECTOR_SIZES, type Projector } from "../../model/class/projector.ts";
import { Ask } from "../../views/Ask.tsx";
import { Choice } from "../../views/Fields.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { RoomCheck } from "./RoomCheck.tsx";

interface BoardBarProps {
  readonly now: LessonBody;
  readonly projector: Projector;
  readonly onProjector: (projector: Projector) => void;
  readonly onChanged: (now: LessonBody) => void;
}

/** What the instructor presses. Of what cannot be undone it asks once. */
export function BoardBar({ now, projector, onProjector, onChanged }: BoardBarProps): JSX.Element {
  const [open, setOpen] = useState<"room" | "projector" | "reset" | "end">();
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const toggle = (which: "room" | "projector") => setOpen(open === which ? undefined : which);
  const act = async (work: typeof resetLesson) => {
    setBusy(true);
    const answer = await work(now.code);
    setBusy(false);
    setOpen(undefined);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) onChanged(answer.value);
  };
  const isOn = now.endedAt === null;
  return (
    <div class="board-bar">
      <p class="form-foot">
        {isOn && (
          <button type="button" class="button" aria-expanded={open === "room"} onClick={() => toggle("room")}>
            Room check
          </button>
        )}
        <button type="button" class="button" aria-expanded={open === "projector"} onClick={() => toggle("projector")}>
          Projector
        </button>
        {isOn && (
          <>
            {/* A page of its own: what stands around this one is not for a seat. */}
            <a class="button" href={`/class/join#${now.code}`} target="_blank" rel="noreferrer">
              Try it as a student
            </a>
            <button type="button" class="button" onClick={() => setOpen("reset")}>
              Reset
            </button>
            <button type="button" class="button" onClick={() => setOpen("end")}>
              End lesson
            </button>
          </>
        )}
      </p>
      {problem && <ProblemNote problem={problem} />}
      {open === "room" && <RoomCheck code={now.code} />}
      {open === "projector" && (
        <div class="board-projector">
          <Choice
            legend="Size"
            options={PROJECTOR_SIZES.map((size) => [size, size] as const)}
            value={projector.size}
            onChange={(size) => onProjector({ ...projector, size })}
          />
          <Choice
            legend="Contrast"
            options={PROJECTOR_CONTRASTS.map((one) => [one, one] as const)}
            value={projector.contrast}
            onChange={(contrast) => onProjector({ ...projector, contrast })}
          />
        </div>
      )}
      {open === "reset" && (
        <Ask
          question="Wipe all seats and how far they came? Every phone has to join again. This cannot be taken back."
          yes="Wipe them"
          no="Keep them"
          busy={busy}
          onYes={() => void act(resetLesson)}
          onNo={() => setOpen(undefined)}
        />
      )}
      {open === "end" && (
        <Ask
          question="End the lesson? No phone can go on with it. The board stays for 30 days."
          yes="End it"
          no="Go on with it"
          busy={busy}
          onYes={() => void act(endLesson)}
          onNo={() => setOpen(undefined)}
        />
      )}
    </div>
  );
}
