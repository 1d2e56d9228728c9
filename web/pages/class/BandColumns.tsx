import type { JSX } from "preact";
import type { LinkSettings, LinkWithErrors } from "../../../decoders/radio/link.ts";
import { shortName } from "../../model/class/bandCharts.ts";
import { bandCautions, bandFigures, differenceWords, percentOf } from "../../model/class/bandFigures.ts";
import { deafWords } from "../../model/class/bandTryWords.ts";
import { Mark } from "../../views/Mark.tsx";
import { Quantity } from "../../views/Quantity.tsx";

interface ColumnsProps {
  readonly links: readonly [LinkWithErrors, LinkWithErrors];
  readonly settings: LinkSettings;
}

/** Both bands with all their figures, one beside the other. */
export function BandColumns({ links, settings }: ColumnsProps): JSX.Element {
  return (
    <>
      <div class="band-columns">
        {links.map((link) => (
          <BandColumn key={link.band} link={link} settings={settings} />
        ))}
      </div>
      <section class="band-difference" aria-label="From 315.00 to 433.92 MHz">
        <h2>From 315.00 to 433.92 MHz</h2>
        <ul>
          {differenceWords(links).map((says) => (
            <li key={says}>{says}</li>
          ))}
        </ul>
        {bandCautions(links, settings).map((says) => (
          <p key={says}>
            <Mark strength="look here" /> {says}
          </p>
        ))}
      </section>
    </>
  );
}

function BandColumn({ link, settings }: { readonly link: LinkWithErrors; readonly settings: LinkSettings }) {
  const { apart, success } = link;
  const name = `${shortName(link.band)} MHz`;
  return (
    <section class="band-column" aria-label={name}>
      <h2>{name}</h2>
      {apart.isInBand ? (
        <p class="band-answer">
          <Quantity shown={percentOf(success)} /> come through
        </p>
      ) : (
        <>
          <p class="band-answer">
            <Mark strength="look here" words="Not heard" />
          </p>
          <p>{deafWords(apart.apartHz, apart.widths, settings.bandwidthKhz)}</p>
        </>
      )}
      <dl class="band-figures">
        {bandFigures(link, settings).map(({ name: what, shown }) => (
          <div key={what}>
            <dt>{what}</dt>
            <dd>
              <Quantity shown={shown} />
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
