import type { JSX } from "preact";
import type { LinkSettings, LinkWithErrors } from "../../../decoders/radio/link.ts";
import { type BandText, DEAF, DUTY, dutyRows, LEFT_OUT, REGIONS } from "../../model/class/bandTexts.ts";
import { deafWords } from "../../model/class/bandTryWords.ts";
import { figure } from "../../model/quantities.ts";
import { Table } from "../../views/Table.tsx";

interface TeachingProps {
  readonly link: LinkWithErrors;
  readonly settings: LinkSettings;
}

/** What lies behind the figures, with its sources. */
export function BandTeaching({ link, settings }: TeachingProps): JSX.Element {
  const apartHz = 433.92e6 - 315e6;
  return (
    <div class="band-teaching">
      <section aria-label="Why a receiver on one band is deaf to the other">
        <h2>Why a receiver on one band is deaf to the other</h2>
        <p>{deafWords(apartHz, apartHz / (1000 * settings.bandwidthKhz), settings.bandwidthKhz)}</p>
        <Told text={DEAF} />
        {link.interfererDbm !== undefined && (
          <p>
            An interferer counts only where the receiver takes it in: here it adds to the noise, which is{" "}
            {figure(link.noiseDbm, 1)}
            {"\u202f"}dBm in place of {figure(link.quietNoiseDbm, 1)}
            {"\u202f"}dBm.
          </p>
        )}
      </section>
      <section aria-label="Why regions differ">
        <h2>Why regions differ</h2>
        <Told text={REGIONS} />
      </section>
      <section aria-label="What duty rules mean">
        <h2>What duty rules mean</h2>
        <Told text={DUTY} />
        <Table
          caption="The US rule for periodic senders"
          rows={dutyRows()}
          keyOf={({ onSeconds }) => String(onSeconds)}
          empty={{ says: "None.", action: { label: "Class", href: "/class" } }}
          columns={[
            { name: "Sends for", figures: true, cell: ({ onSeconds }) => `${onSeconds}\u202fs` },
            { name: "Then silent, at least", figures: true, cell: ({ silentSeconds }) => `${silentSeconds}\u202fs` },
            { name: "On the air, at most", figures: true, cell: ({ share }) => `${figure(100 * share, 2)}\u202f%` },
          ]}
        />
      </section>
      <section aria-label="What is left out">
        <h2>What is left out</h2>
        <ul>
          {LEFT_OUT.map((says) => (
            <li key={says}>{says}</li>
          ))}
        </ul>
      </section>
    </div>
  );
}

function Told({ text: { says, sources } }: { readonly text: BandText }): JSX.Element {
  return (
    <>
      {says.map((one) => (
        <p key={one}>{one}</p>
      ))}
      <details>
        <summary>Sources</summary>
        <ul>
          {sources.map((one) => (
            <li key={one}>{one}</li>
          ))}
        </ul>
      </details>
    </>
  );
}
