import type { JSX } from "preact";
import { useMemo, useState } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import { useSettings } from "../../device.ts";
import { rowsOf } from "../../model/compare/bitRows.ts";
import { differenceHeading, type FrameDifferences, runsText } from "../../model/compare/differences.ts";
import type { Picked } from "../../model/compare/picked.ts";
import { counted } from "../../model/quantities.ts";
import { frameStretches } from "../../model/recording/frameStretches.ts";
import { Empty } from "../Empty.tsx";
import { Band } from "../recording/Band.tsx";
import { Table } from "../Table.tsx";
import { BitRows } from "./BitRows.tsx";

interface DifferencesBandProps {
  readonly these: readonly (Picked & { readonly at: number })[];
  /** Of each but the first, against the first. */
  readonly found: readonly FrameDifferences[];
  readonly widthPx: number;
}

/** The bits of all above each other: what differs is marked, and listed. */
export function DifferencesBand({ these, found, widthPx }: DifferencesBandProps): JSX.Element {
  const rows = useMemo(() => rowsOf(these, found), [these, found]);
  const [activeAt, setActive] = useState(0);
  const active = rows.differences[Math.min(activeAt, rows.differences.length - 1)];
  const others = these.slice(1);
  const heading = others.map((one, i) => {
    const difference = found[i];
    return difference === undefined ? "" : differenceHeading(difference, one.letter);
  });
  return (
    <Band
      name="the bits"
      heading={sentence(heading.join("; "))}
      howToRead={
        <p>
          One ribbon for each, up for a one and down for a zero, with a gap after each byte. Where a bit is not the same
          as in A there is a notch above it and a heavy line below it. With the keyboard: left and right go from
          difference to difference, and the sentence below tells what differs there.
        </p>
      }
      table={() => <StretchTable these={these} found={found} />}
    >
      {rows.rows.length > 1 && (
        <BitRows rows={rows} widthPx={widthPx} active={active} activeAt={activeAt} onActive={setActive} />
      )}
      {active && (
        <p class="trace" aria-live="polite">
          {`${active.letter} against A: ${active.difference.says}`}
        </p>
      )}
      <ul class="differences" aria-label="What differs">
        {others.map((one, i) => (
          <li key={one.at}>
            <Listed letter={one.letter} found={found[i]} />
          </li>
        ))}
      </ul>
    </Band>
  );
}

/** More than these are not read. */
const MOST_LISTED = 40;

function Listed({
  letter,
  found,
}: {
  readonly letter: string;
  readonly found: FrameDifferences | undefined;
}): JSX.Element | null {
  if (found === undefined) return null;
  if (found.kind === "none") return <p>{`${letter}: ${found.because}`}</p>;
  const moved = found.kind === "symbols" ? movedWords(found.shift) : "";
  if (found.list.length === 0)
    return <p>{`${letter}: every ${found.kind === "bits" ? "bit" : "symbol"} is as in A.${moved}`}</p>;
  return (
    <>
      <p>{`${letter} against A:${moved}`}</p>
      <ul>
        {found.list.slice(0, MOST_LISTED).map((one) => (
          <li key={one.at}>{one.says}</li>
        ))}
      </ul>
      {found.list.length > MOST_LISTED && <p class="caption">{`${found.list.length - MOST_LISTED} more.`}</p>}
    </>
  );
}

/** Two bursts are cut from where each is loud enough: which symbols lie above each other is found by likeness. */
function movedWords(shift: number): string {
  if (shift === 0) return "";
  const way = shift > 0 ? "later" : "earlier";
  return ` It begins ${counted(Math.abs(shift), "symbol")} ${way} than A; so most of them agree.`;
}

interface StretchRow {
  readonly name: string;
  readonly bits: string;
  readonly values: readonly string[];
  readonly differ: string;
}

function StretchTable({ these, found }: Pick<DifferencesBandProps, "these" | "found">): JSX.Element {
  const settings = useSettings();
  const told = these.map(({ bits }) =>
    bits.source === "telegram" || bits.source === "read again" ? frameStretches(bits, settings) : [],
  );
  const shown = these.filter((_, i) => i === 0 || found[i - 1]?.kind === "bits");
  const rows = (told[0] ?? []).map(
    (one): StretchRow => ({
      name: one.stretch.kind === "unassigned" ? "not named" : one.stretch.name,
      bits: one.bits,
      values: shown.map(({ at }) => {
        const other = told[these.findIndex((picked) => picked.at === at)]?.find(
          ({ stretch }) => stretch.at === one.stretch.at,
        );
        return other === undefined ? "not told" : [other.value, other.raw].filter((part) => part !== "").join(", raw ");
      }),
      differ: these
        .slice(1)
        .flatMap(({ letter }, i) => {
          const difference = found[i];
          const here =
            difference?.kind === "bits" ? difference.list.find(({ at }) => at === one.stretch.at) : undefined;
          return here && here.differing.length > 0 ? [`${letter} ${runsText(here.differing)}`] : [];
        })
        .join("; "),
    }),
  );
  if (rows.length === 0) {
    return (
      <Empty
        says="No layout explains the bits of A, so there is no table of them; the list above tells what differs."
        action={{ label: "See the layouts on the shelf", href: "/layouts" }}
      />
    );
  }
  return (
    <Table
      caption="The frames, stretch by stretch"
      rows={rows}
      keyOf={({ bits }) => bits}
      empty={{ says: "There are no bits.", action: { label: "See the layouts on the shelf", href: "/layouts" } }}
      columns={[
        { name: "Name", cell: ({ name }) => name },
        { name: "Bits", cell: ({ bits }) => <span class="whole">{bits}</span> },
        ...shown.map(({ letter }, i) => ({ name: letter, cell: ({ values }: StretchRow) => values[i] })),
        { name: "Bits that differ from A", cell: ({ differ }) => (differ === "" ? "none" : differ) },
      ]}
    />
  );
}
