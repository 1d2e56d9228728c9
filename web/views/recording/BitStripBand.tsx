import type { ComponentChildren, JSX } from "preact";
import { useEffect, useMemo, useState } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import { useSettings } from "../../device.ts";

import { bitStrip } from "../../model/recording/bitStrip.ts";
import { bitsHeading, bitsNotes } from "../../model/recording/bitsWords.ts";
import type { FrameBits } from "../../model/recording/frameBits.ts";
import { type FrameStretch, frameStretches, labelOf, traceOf } from "../../model/recording/frameStretches.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { airWordsOf } from "../../model/recording/frameWords.ts";
import { Empty } from "../Empty.tsx";
import { Mark } from "../Mark.tsx";
import { Table } from "../Table.tsx";
import { Band } from "./Band.tsx";
import { BitDrawing } from "./BitDrawing.tsx";

interface BitStripBandProps {
  readonly frame: Frame;
  readonly found: FrameBits;
  readonly widthPx: number;
  /** Goes to the frame before or after, and to what can be done with it. */
  readonly steps: ComponentChildren;
}

/** The chosen frame, bit by bit, with what its bits mean below; of a burst without a frame its symbols. */
export function BitStripBand({ frame, found, widthPx, steps }: BitStripBandProps): JSX.Element {
  const settings = useSettings();
  const stretches = useMemo(
    () => (found.source === "telegram" || found.source === "read again" ? frameStretches(found, settings) : []),
    [found, settings],
  );
  const [activeAt, setActive] = useState(0);
  useEffect(() => setActive(0), [frame.id]);
  const active = stretches[Math.min(activeAt, stretches.length - 1)];
  const bits = found.source === "nothing" ? undefined : found.bits;
  const strip = useMemo(() => {
    if (bits === undefined) return undefined;
    const byAt = new Map(stretches.map((one) => [one.stretch.at, one]));
    const ruler = stretches.map(({ stretch }) => stretch);
    const wordsOf = ({ at }: { readonly at: number }) => {
      const one = byAt.get(at);
      return one && labelOf(one);
    };
    return bitStrip(bits, ruler, wordsOf, widthPx);
  }, [bits, stretches, widthPx]);

  const key = (event: KeyboardEvent) => {
    const last = stretches.length - 1;
    const to = {
      ArrowLeft: activeAt - 1,
      ArrowUp: activeAt - 1,
      ArrowRight: activeAt + 1,
      ArrowDown: activeAt + 1,
      Home: 0,
      End: last,
    }[event.key];
    if (to === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    setActive(Math.min(last, Math.max(0, to)));
  };

  return (
    <Band
      name="the bits"
      heading={bitsHeading(frame, found)}
      howToRead={<HowToRead />}
      table={() => <BitTable stretches={stretches} found={found} />}
    >
      {steps}
      <p class="caption">{sentence(airWordsOf(frame))}</p>
      {bitsNotes(found).map((note) => (
        <p key={note}>
          <Mark strength="look here" words={note} />
        </p>
      ))}
      {strip === undefined || bits === undefined ? (
        <Empty
          says="The burst could not be cut into symbols, so there are no bits to show; the ladder says why."
          action={{ label: "To the ladder", href: "#ladder" }}
        />
      ) : (
        <BitDrawing
          bits={bits}
          strip={strip}
          stretches={stretches}
          brokenAt={found.source === "read again" ? found.brokenAt : []}
          active={active}
          onActive={setActive}
          onKey={key}
        />
      )}
      {active && bits && (
        <p class="trace" aria-live="polite">
          {active.isWrong && <Mark strength="look here" words="look here" />} {traceOf(active, bits)}
        </p>
      )}
    </Band>
  );
}

function BitTable({
  stretches,
  found,
}: {
  readonly stretches: readonly FrameStretch[];
  readonly found: FrameBits;
}): JSX.Element {
  return (
    <Table
      caption="The frame, stretch by stretch"
      rows={stretches}
      keyOf={({ stretch }) => String(stretch.at)}
      empty={{
        says:
          found.source === "nothing"
            ? "There are no bits of this burst."
            : "No layout explains these bits, so there is no table of them.",
        action: { label: "See the layouts on the shelf", href: "/layouts" },
      }}
      columns={[
        { name: "No.", figures: true, cell: ({ stretch }) => stretch.key },
        { name: "Name", cell: ({ stretch }) => stretch.name },
        { name: "Bits", cell: ({ bits }) => <span class="whole">{bits}</span> },
        { name: "Raw", figures: true, cell: ({ raw }) => raw },
        { name: "Value", cell: ({ value }) => value },
        { name: "How it is made", cell: ({ formula }) => formula },
      ]}
    />
  );
}

function HowToRead(): JSX.Element {
  return (
    <>
      <p>
        The ribbon is up for a one and down for a zero, with a gap after each byte. Below it braces show the fields;
        what hangs on a brace is its name and value, then its raw number and its bits. Check bits are hatched, a double
        brace is a constant, dots are bits that nothing names. A notch above the ribbon is a bit whose symbols break the
        line code.
      </p>
      <p>Press a field, or go with the arrow keys, to see its way from the bits to the value.</p>
    </>
  );
}
