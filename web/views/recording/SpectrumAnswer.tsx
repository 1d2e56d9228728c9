import type { JSX } from "preact";
import type { SpectrumBody } from "../../../server/http/wire.ts";
import { figure } from "../../model/quantities.ts";
import { bandAnswer, spectrumParts, type Taken } from "../../model/recording/spectrumDrawing.ts";
import { ProblemNote } from "../ProblemNote.tsx";
import { Table } from "../Table.tsx";
import { SPECTRUM_LEFT_PX, SpectrumChart } from "./SpectrumChart.tsx";
import type { Asked } from "./useAsked.ts";

interface SpectrumAnswerProps {
  readonly spectrum: Asked<SpectrumBody>;
  readonly taken: Taken | undefined;
  /** Whether the burst was measured, or could not be. */
  readonly isMeasured: boolean;
  readonly widthPx: number;
}

/** Was it in the band? The answer, and the power over frequency that it stands on. */
export function SpectrumAnswer({ spectrum, taken, isMeasured, widthPx }: SpectrumAnswerProps): JSX.Element {
  const { value, problem, asked, ask, again } = spectrum;
  const drawnPx = Math.max(120, widthPx - SPECTRUM_LEFT_PX);
  return (
    <div class="spectrum">
      <p class="band-acts">
        <button type="button" class="button small" aria-expanded={asked} onClick={() => ask(!asked)}>
          Was it in the band?
        </button>
      </p>
      {problem && <ProblemNote problem={problem} again={again} />}
      {asked && !value && !problem && <p role="status">The band is being looked at.</p>}
      {asked && value && (
        <>
          <p role="status">{isMeasured ? bandAnswer(value, taken) : "The burst is still being measured."}</p>
          {value.because !== null && <p class="caption">{value.because}</p>}
          <SpectrumChart
            spectrum={value}
            taken={taken}
            widthPx={drawnPx}
            label={`Power over frequency. ${bandAnswer(value, taken)}`}
          />
          <p class="caption">
            {`Power in dBFS over MHz: ${value.dbfs.length} lines of ${figure(value.lineHz / 1000, 2)}\u202fkHz, each with the power of ${figure(value.resolutionHz / 1000, 2)}\u202fkHz. The pale stretch holds 99\u202f% of the burst, the broken line is the noise.`}
          </p>
          <details>
            <summary>The band as a table</summary>
            <Table
              caption="The strongest line of each sixteenth of the band"
              rows={spectrumParts(value, 16)}
              keyOf={({ fromMhz }) => fromMhz}
              empty={{ says: "The band has no lines.", action: { label: "Ask again", onClick: again } }}
              columns={[
                { name: "From, MHz", figures: true, cell: ({ fromMhz }) => fromMhz },
                { name: "To, MHz", figures: true, cell: ({ toMhz }) => toMhz },
                { name: "Strongest, dBFS", figures: true, cell: ({ dbfs }) => dbfs },
                { name: "Over the noise, dB", figures: true, cell: ({ overNoiseDb }) => overNoiseDb },
              ]}
            />
          </details>
        </>
      )}
    </div>
  );
}
