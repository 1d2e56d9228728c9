import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { LessonBody } from "../../../server/http/wire/lessons.ts";
import type { Problem } from "../../api.ts";
import { revealToAll } from "../../calls/lessons.ts";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Table } from "../../views/Table.tsx";

interface AnswersProps {
  readonly now: LessonBody;
  readonly onChanged: (now: LessonBody) => void;
}

/** How the class fares with each exercise, and whether all may see its answer. */
export function Answers({ now, onChanged }: AnswersProps): JSX.Element {
  const [problem, setProblem] = useState<Problem>();
  const set = async (exercise: string, on: boolean) => {
    const answer = await revealToAll(now.code, exercise, on);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) onChanged(answer.value);
  };
  return (
    <section aria-labelledby="answers">
      <h2 id="answers">Exercises</h2>
      {problem && <ProblemNote problem={problem} />}
      <Table
        caption="How the class fares with each exercise"
        rows={now.exercises}
        keyOf={({ id }) => id}
        empty={{ says: "This set has no exercises.", action: { label: "Class", href: "/class" } }}
        columns={[
          {
            name: "Exercise",
            cell: ({ id, title }) => `${now.exercises.findIndex((one) => one.id === id) + 1}. ${title}`,
          },
          { name: "Rung", cell: ({ rung }) => rung?.replace("-", " ") ?? "none" },
          { name: "Opened", figures: true, cell: ({ begun }) => begun },
          { name: "Solved", figures: true, cell: ({ solved }) => solved },
          { name: "Shown", figures: true, cell: ({ told }) => told },
          { name: "Stuck", figures: true, cell: ({ stuck }) => stuck },
          {
            name: "Answer",
            cell: ({ id, title, revealed }) => {
              const about = <span class="heard-only">: {title}</span>;
              if (now.endedAt !== null) return revealed ? "shown to all" : "not shown";
              return revealed ? (
                <button type="button" class="button small" onClick={() => void set(id, false)}>
                  Hide it again{about}
                </button>
              ) : (
                <button type="button" class="button small" onClick={() => void set(id, true)}>
                  Reveal to all{about}
                </button>
              );
            },
          },
        ]}
      />
    </section>
  );
}
