import type { JSX } from "preact";
import type { StudyBody, StudyLadderRowBody } from "../../../server/http/wire/studies.ts";
import { type StudyView, studyAddress, WHOLE_STUDY } from "../../model/study/address.ts";
import { ladderTitle } from "../../model/study/ladderWords.ts";
import { outcomeQuestion } from "../../model/study/studyWords.ts";
import { Table } from "../../views/Table.tsx";

interface StudyLadderProps {
  readonly study: Pick<StudyBody, "id" | "ladder">;
  readonly view: StudyView;
  /** Another page opens a study's own page with it. */
  readonly caption?: string;
}

/** How many bursts stopped at each rung; every count leads to those that it counts. */
export function StudyLadder({ study: { id, ladder }, view, caption }: StudyLadderProps): JSX.Element {
  const reached = (row: StudyLadderRowBody) =>
    row.outcome === "repeat" || row.bestOf === 0 ? undefined : { ...WHOLE_STUDY, reached: row.outcome };
  return (
    <section class="study-ladder">
      <h2>{ladderTitle(ladder)}</h2>
      <Table
        caption={caption ?? "Where bursts stopped, from the lowest rung up; those that were read come last"}
        rows={ladder}
        keyOf={({ outcome }) => outcome}
        empty={{ says: "Nothing was decoded yet.", action: { label: "All studies", href: "/studies" } }}
        columns={[
          { name: "Rung", cell: ({ outcome }) => outcomeQuestion(outcome) },
          {
            name: "Bursts",
            figures: true,
            cell: (row) => (
              <Count
                count={row.bursts}
                href={studyAddress(id, { ...WHOLE_STUDY, outcome: row.outcome })}
                isShown={view.outcome === row.outcome}
                what={`bursts: ${outcomeQuestion(row.outcome)}`}
              />
            ),
          },
          { name: "Inputs with such", figures: true, cell: ({ inputs }) => inputs },
          {
            name: "Inputs whose best it is",
            figures: true,
            cell: (row) => {
              const its = reached(row);
              return its === undefined ? (
                row.outcome === "repeat" ? (
                  "–"
                ) : (
                  row.bestOf
                )
              ) : (
                <Count
                  count={row.bestOf}
                  href={studyAddress(id, its)}
                  isShown={view.reached === row.outcome}
                  what={`inputs: ${outcomeQuestion(row.outcome)}`}
                />
              );
            },
          },
        ]}
      />
    </section>
  );
}

function Count({
  count,
  href,
  isShown,
  what,
}: {
  readonly count: number;
  readonly href: string;
  readonly isShown: boolean;
  readonly what: string;
}): JSX.Element {
  if (count === 0) return <>0</>;
  return (
    <a href={href} class="count-link" aria-label={`${count} ${what}`} aria-current={isShown ? "true" : undefined}>
      {count}
    </a>
  );
}
