import type { JSX } from "preact";
import type { LotKey } from "../../model/bench/lotDraft.ts";
import { TextField } from "../../views/Fields.tsx";
import type { StageProps } from "./LotPage.tsx";
import { lotBox } from "./SetUpStage.tsx";

/** How many outside the delivery may have, and what risks the sample is to keep. */
export function PlanPart({ autosave }: StageProps): JSX.Element {
  const box = (key: LotKey) => lotBox(autosave, key);
  return (
    <details>
      <summary>When the whole delivery is accepted</summary>
      <div class="edit-card-more">
        <TextField label="Accepted with at most so many outside" numeric {...box("plan.accept")} />
        <TextField label="A good delivery has outside" unit="%" numeric {...box("plan.goodPercent")} />
        <TextField label="It may be rejected in" unit="% of cases" numeric {...box("plan.producerRiskPercent")} />
        <TextField label="A bad delivery has outside" unit="%" numeric {...box("plan.badPercent")} />
        <TextField label="It may be accepted in" unit="% of cases" numeric {...box("plan.consumerRiskPercent")} />
      </div>
    </details>
  );
}
