import type { JSX } from "preact";
import { frequencyShown, inLine, offsetShown } from "../../model/quantities.ts";
import { outcomeWords } from "../../model/rungWords.ts";
import { carrierOffset, type Heard, lastHeard } from "../../model/sendingCheck.ts";
import { agoShown } from "../../model/times.ts";
import { Identity } from "../../views/Identity.tsx";
import { Table } from "../../views/Table.tsx";
import type { HeardHere } from "./heard.ts";

interface HeardTableProps {
  readonly heard: HeardHere;
  /** Carriers of the layouts on the shelf. */
  readonly nominalHz: readonly number[];
  readonly listeningCount: number;
}

const SHOWN = 12;

/** The last bursts, newest first, each with what was measured of it. */
export function HeardTable({ heard, nominalHz, listeningCount }: HeardTableProps): JSX.Element {
  const { bursts, telegrams, nowMs } = heard;
  return (
    <Table<Heard>
      caption={`The last bursts since this page was opened${bursts.length > SHOWN ? `, ${SHOWN} of ${bursts.length}` : ""}`}
      rows={lastHeard(bursts, telegrams, SHOWN)}
      keyOf={({ id }) => id}
      empty={
        listeningCount === 0
          ? {
              says: "Nothing can come in: no receiver listens.",
              action: { label: "Connect a receiver", href: "/receivers" },
            }
          : {
              says: "Nothing came in since this page was opened. Wake the transmitter, close to the receiver.",
              action: { label: "See what the receivers say", href: "/receivers" },
            }
      }
      columns={[
        { name: "When", cell: ({ at }) => <span class="whole">{agoShown(at, nowMs)}</span> },
        { name: "What", cell: (row) => <What row={row} /> },
        { name: "Frequency", figures: true, cell: ({ burst }) => inLine(frequencyShown(burst.carrierHz, 3)) },
        {
          name: "Off by",
          figures: true,
          cell: ({ burst }) => {
            const off = carrierOffset(burst.carrierHz, nominalHz);
            return off === undefined
              ? "no known carrier near"
              : `${inLine(offsetShown(off.offsetHz))} of ${frequencyShown(off.nominalHz).figure}`;
          },
        },
        { name: "Keying", cell: ({ burst }) => keyingWords(burst) },
        { name: "Level", figures: true, cell: ({ burst }) => levelWords(burst) },
      ]}
    />
  );
}

function What({ row }: { readonly row: Heard }): JSX.Element {
  return (
    <>
      {row.identity !== null && <Identity value={row.identity} />} {outcomeWords(row.burst)}
      {row.layout === null ? "" : `, as ${row.layout}`}
    </>
  );
}

function keyingWords({ modulation, symbolRate }: Heard["burst"]): string {
  const keying = modulation === null ? "not clear" : modulation.toUpperCase();
  return symbolRate === null ? keying : `${keying}, ${Math.round(symbolRate).toLocaleString("en-GB")} symbols/s`;
}

function levelWords({ levelDbfs, snrDb, clipped }: Heard["burst"]): string {
  const over = snrDb === null ? "" : `${Math.round(snrDb)} dB over noise`;
  const level = levelDbfs === null ? over : `${Math.round(levelDbfs)} dBFS`.replace("-", "−");
  const shown = level === "" ? "not told" : level;
  return clipped ? `${shown}, overloaded: go further away` : shown;
}
