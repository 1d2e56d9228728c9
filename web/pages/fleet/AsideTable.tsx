import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Problem } from "../../api.ts";
import { tryAsideAgain } from "../../calls/fleet.ts";
import type { FleetNow } from "../../model/fleetWords.ts";
import { timeShown } from "../../model/times.ts";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Table } from "../../views/Table.tsx";

interface AsideTableProps {
  readonly now: FleetNow;
  readonly onChanged: () => void;
}

/** What was set aside, with its reason and a way back; nothing where nothing was. */
export function AsideTable({ now: { aside }, onChanged }: AsideTableProps): JSX.Element | null {
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState<string>();
  if (aside.length === 0) return null;
  const again = async (id: string) => {
    setBusy(id);
    const answer = await tryAsideAgain(id);
    setBusy(undefined);
    setProblem(answer.ok ? undefined : answer.problem);
    onChanged();
  };
  return (
    <section aria-labelledby="aside">
      <h2 id="aside">Set aside</h2>
      {problem && <ProblemNote problem={problem} />}
      <Table
        caption="Each was tried three times. What the others had to do went on."
        rows={aside}
        keyOf={({ id }) => id}
        empty={{ says: "Nothing is set aside.", action: { label: "Recordings", href: "/recordings" } }}
        columns={[
          {
            name: "Recording",
            cell: ({ id, kind, name }) =>
              kind === "recording" ? <a href={`/recordings/${id}`}>{name}</a> : `${name}, of a study`,
          },
          { name: "Why", cell: ({ because }) => because },
          { name: "When", cell: ({ at, worker }) => `${timeShown(at)}, on ${worker}` },
          { name: "Tries", cell: ({ tries }) => tries, figures: true },
          {
            name: "Again",
            cell: ({ id, name }) => (
              <button type="button" class="button" disabled={busy === id} onClick={() => void again(id)}>
                Try again<span class="heard-only"> {name}</span>
              </button>
            ),
          },
        ]}
      />
    </section>
  );
}
