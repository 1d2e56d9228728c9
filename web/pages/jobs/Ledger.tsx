import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import type { JobBody, ReceiverBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { visitWords } from "../../model/jobWords.ts";
import { pressureScale } from "../../model/pressureScale.ts";

import { Empty } from "../../views/Empty.tsx";
import { PressureAxis } from "../../views/PressureLine.tsx";
import type { Card } from "./card.ts";
import { WheelRow } from "./WheelRow.tsx";

interface LedgerProps {
  readonly job: JobBody;
  readonly card: Card;
  /** Those that the visit listens to. */
  readonly receivers: readonly ReceiverBody[];
}

/** A line for each wheel, all on one pressure scale, so that the odd one stands out by its place. */
export function Ledger({ job, card, receivers }: LedgerProps): JSX.Element {
  const { pressure } = useSettings();
  const [choosing, setChoosing] = useState<string>();
  const scale = pressureScale(job.lines, pressure);
  return (
    <section aria-labelledby="ledger">
      <h2 id="ledger">{sentence(visitWords(job))}</h2>
      {scale === undefined && (
        <Empty
          says="No pressure to draw yet: no placard is entered, and no sensor of this card was heard."
          action={{ label: "Is anything sending?", href: "/sending" }}
        />
      )}
      <div class="ledger">
        <div class="ledger-head" aria-hidden="true">
          <span class="cell-position">Wheel</span>
          <span class="cell-identity">Sensor ID</span>
          <span class="cell-frequency">Frequency</span>
          <span class="cell-temperature">Temp.</span>
          <span class="cell-battery">Battery</span>
          <span class="cell-scale">
            {scale !== undefined && (
              <>
                Pressure, {scale.unit}
                <PressureAxis scale={scale} />
              </>
            )}
          </span>
          <span class="cell-finding">Finding</span>
        </div>
        <ol class="wheel-lines" aria-label="Wheels">
          {job.lines.map((line) => (
            <WheelRow
              key={line.position}
              line={line}
              job={job}
              card={card}
              scale={scale}
              receivers={receivers}
              choosing={choosing === line.position}
              onChoose={(open) => setChoosing(open ? line.position : undefined)}
            />
          ))}
        </ol>
      </div>
    </section>
  );
}
