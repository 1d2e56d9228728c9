import type { JSX } from "preact";
import type { LinkSettings } from "../../../decoders/radio/link.ts";
import type { BandTriedBody } from "../../../server/http/wire/bands.ts";
import type { Problem } from "../../api.ts";
import { shortName } from "../../model/class/bandCharts.ts";
import { expectedWords, intervalWords, triedSaid, triedWords } from "../../model/class/bandTryWords.ts";
import { RUNG_QUESTIONS } from "../../model/rungWords.ts";
import { PickOne } from "../../views/Fields.tsx";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";

/** A run of the decoder, with what it was set by. */
export interface BandRun {
  readonly settings: LinkSettings;
  readonly bands: readonly BandTriedBody[];
}

interface TriesProps {
  readonly telegrams: number;
  readonly onTelegrams: (telegrams: number) => void;
  readonly onRun: () => void;
  readonly running: boolean;
  readonly canRun: boolean;
  readonly problem: Problem | undefined;
  readonly last: BandRun | undefined;
  /** Whether the figures above are still those of the last run. */
  readonly isCurrent: boolean;
}

const COUNTS = [
  ["20", "20 telegrams"],
  ["60", "60 telegrams"],
] as const;

/** Has the decoder read what the figures say, and holds the two against each other. */
export function BandTries(props: TriesProps): JSX.Element {
  const { telegrams, onTelegrams, onRun, running, canRun, problem, last, isCurrent } = props;
  return (
    <section class="band-tries" aria-label="The decoder’s turn">
      <h2>The decoder’s turn</h2>
      <p>
        A recording is made for each band, with just the Eb/N0 above, and the same decoder reads it that reads every
        other recording.
      </p>
      <p class="form-foot">
        <PickOne
          label="In each band"
          options={COUNTS}
          value={String(telegrams)}
          onChange={(value) => onTelegrams(Number(value))}
        />
        <button type="button" class="button main" disabled={running || !canRun} onClick={onRun}>
          Run the decoder
        </button>
      </p>
      <p class="heard-only" role="status">
        {running ? "The decoder runs." : last ? triedSaid(last.bands) : ""}
      </p>
      {running && <p class="waiting">Recordings are made and read; that takes some seconds …</p>}
      {problem && <ProblemNote problem={problem} />}
      {last && (
        <>
          {!isCurrent && (
            <p>
              <Mark strength="look here" words="Changed since" /> Something above was changed after this run.
            </p>
          )}
          <div class="band-columns">
            {last.bands.map((tried) => (
              <Tried key={tried.band} tried={tried} settings={last.settings} />
            ))}
          </div>
        </>
      )}
    </section>
  );
}

function Tried({ tried, settings }: { readonly tried: BandTriedBody; readonly settings: LinkSettings }) {
  const { band, sent, read, withoutRepair, missed, interferersFound } = tried;
  const name = `Read at ${shortName(band)} MHz`;
  return (
    <section class="band-column" aria-label={name}>
      <h3>{name}</h3>
      <p>{triedWords(tried, settings)}</p>
      <dl class="band-figures">
        <div>
          <dt>Expected</dt>
          <dd>{expectedWords(tried)}</dd>
        </div>
        <div>
          <dt>Read without repair</dt>
          <dd>
            {withoutRepair.count} of {sent}
          </dd>
        </div>
        <div>
          <dt>The share lies within, with 95 %</dt>
          <dd>{intervalWords(withoutRepair)}</dd>
        </div>
        <div>
          <dt>Read in all</dt>
          <dd>
            {read.count} of {sent}
          </dd>
        </div>
        {interferersFound > 0 && (
          <div>
            <dt>Steady carriers found</dt>
            <dd>{interferersFound}</dd>
          </div>
        )}
      </dl>
      {missed.length > 0 && (
        <>
          <p>First rung that was missed:</p>
          <ul class="band-missed">
            {missed.map(({ rung, count, because }) => (
              <li key={rung}>
                {count}: {RUNG_QUESTIONS[rung]} <q>{because}</q>
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}
