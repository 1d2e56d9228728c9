import type { JSX } from "preact";
import type { MeasuresBody, SpectrumBody, TimingBody } from "../../../server/http/wire.ts";
import { measureRows, measuresSentence, timingRows } from "../../model/recording/burstMeasures.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { CopyButton } from "../CopyButton.tsx";
import { ProblemNote } from "../ProblemNote.tsx";
import { Table } from "../Table.tsx";
import { Band } from "./Band.tsx";
import { SpectrumAnswer } from "./SpectrumAnswer.tsx";
import type { Asked } from "./useAsked.ts";

interface BurstMeasuresBandProps {
  readonly frame: Frame;
  readonly sampleRateHz: number;
  readonly measures: Asked<MeasuresBody>;
  /** Of the frame's sensor; nothing is asked for a frame without one. */
  readonly timing: Asked<TimingBody>;
  readonly spectrum: Asked<SpectrumBody>;
  readonly widthPx: number;
}

/** The chosen burst in figures, each with what it is held against; and whether it was in the band. */
export function BurstMeasuresBand(props: BurstMeasuresBandProps): JSX.Element {
  const { frame, sampleRateHz, measures, timing, spectrum, widthPx } = props;
  const body = measures.value;
  const rows = [...(body ? measureRows(body, sampleRateHz) : []), ...(timing.value ? timingRows(timing.value) : [])];
  return (
    <Band
      name="the measures"
      heading={body ? `${measuresSentence(body)}; indicative` : "What can be measured of the chosen burst"}
      howToRead={<HowToRead assumes={timing.value?.assumes ?? []} />}
      table={() => (
        <Table
          caption={`Measures of the burst at ${frame.burst.atSeconds.toFixed(3)}\u202fs`}
          rows={rows}
          keyOf={({ name }) => name}
          empty={
            measures.problem
              ? { says: measures.problem.detail, action: { label: "Try again", onClick: measures.again } }
              : { says: "The burst is being measured.", action: { label: "Ask again", onClick: measures.again } }
          }
          columns={[
            { name: "What", cell: ({ name }) => name },
            { name: "Measured", cell: ({ value }) => value },
            { name: "Held against", cell: ({ remark }) => remark },
          ]}
        />
      )}
    >
      {measures.problem && <ProblemNote problem={measures.problem} again={measures.again} />}
      {rows.length > 0 && (
        <dl class="measures">
          {rows.map(({ name, value }) => (
            <div key={name}>
              <dt>{name}</dt>
              <dd>{value}</dd>
            </div>
          ))}
        </dl>
      )}
      {rows.length > 0 && (
        <p class="band-acts">
          <CopyButton
            label="Copy these figures"
            text={() => rows.map((row) => [row.name, row.value, row.remark].join("\t")).join("\n")}
          />
        </p>
      )}
      <SpectrumAnswer
        spectrum={spectrum}
        taken={takenBy(body)}
        isMeasured={body !== undefined || measures.problem !== undefined}
        widthPx={widthPx}
      />
    </Band>
  );
}

function takenBy(body: MeasuresBody | undefined) {
  if (!body || body.occupiedLowHz === null || body.occupiedHighHz === null) return undefined;
  return { lowHz: body.occupiedLowHz, highHz: body.occupiedHighHz };
}

function HowToRead({ assumes }: { readonly assumes: readonly string[] }): JSX.Element {
  return (
    <>
      <p>
        These figures are worked out from the samples of this burst. They are indicative: the receiver was not
        calibrated, and a law's own test has rules that a recording does not keep. The table says what each is held
        against.
      </p>
      {assumes.map((one) => (
        <p key={one}>{one}</p>
      ))}
    </>
  );
}
