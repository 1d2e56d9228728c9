import type { JSX } from "preact";
import { sentence } from "../../../decoders/words.ts";
import type { JobBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { inLine, pressureShown } from "../../model/quantities.ts";
import { timeShown } from "../../model/times.ts";
import { TextField } from "../../views/Fields.tsx";
import { Table } from "../../views/Table.tsx";
import type { Card } from "./card.ts";
import type { JobAutosave } from "./jobAutosave.ts";

interface ProveProps {
  readonly job: JobBody;
  readonly card: Card;
  readonly autosave: JobAutosave;
}

/** A second listening after the work: what each wheel said before and after it, and who saw the lamp go off. */
export function Prove({ job, card, autosave }: ProveProps): JSX.Element {
  const { pressure } = useSettings();
  const begin = () => void card.save({ proofFrom: "now" }, "Second listening begins");
  return (
    <section class="prove" aria-labelledby="prove">
      <h2 id="prove">Prove it</h2>
      {job.proofFrom === null ? (
        <>
          <p class="caption">
            When the work is done, listen once more: what comes in from then on is held against what came before.
          </p>
          <p>
            <button type="button" class="button" disabled={card.saving} onClick={begin}>
              The work is done, listen again
            </button>
          </p>
        </>
      ) : (
        <>
          <p class="caption">
            Before and after {timeShown(job.proofFrom)}. Wake each wheel once more; a wheel that is not heard now is not
            proved.
          </p>
          <Table
            caption="Before and after the work"
            rows={job.proof}
            keyOf={({ position }) => position}
            empty={{ says: "This card has no wheels.", action: { label: "Listen anew", onClick: begin } }}
            columns={[
              { name: "Wheel", cell: ({ position }) => sentence(position) },
              {
                name: "Before",
                cell: ({ heard, gaugeKpa }) =>
                  heard ? (gaugeKpa === null ? "heard" : inLine(pressureShown(gaugeKpa, pressure))) : "not heard",
              },
              {
                name: "After",
                cell: ({ position, heardAfter }) => {
                  const kpa = job.lines.find((line) => line.position === position)?.gaugeKpa ?? null;
                  if (!heardAfter) return "not heard yet";
                  return kpa === null ? "heard" : inLine(pressureShown(kpa, pressure));
                },
              },
            ]}
          />
          <p>
            <button type="button" class="button small" disabled={card.saving} onClick={begin}>
              Begin the second listening anew
            </button>
          </p>
        </>
      )}
      <div class="edit-card-more">
        <TextField
          label="Lamp off, seen by"
          maxLength={120}
          value={autosave.draft.lampOffBy}
          onInput={(text) => autosave.type("lampOffBy", text)}
          onLeave={autosave.flush}
        />
      </div>
    </section>
  );
}
