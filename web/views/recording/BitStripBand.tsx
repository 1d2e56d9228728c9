import type { ComponentChildren, JSX } from "preact";
import { useMemo } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import { placeByKey } from "../../model/listKeys.ts";
import { bitStrip } from "../../model/recording/bitStrip.ts";
import { bitsHeading, bitsNotes } from "../../model/recording/bitsWords.ts";
import type { FrameBits } from "../../model/recording/frameBits.ts";
import { type FrameStretch, labelOf, traceOf } from "../../model/recording/frameStretches.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { airWordsOf } from "../../model/recording/frameWords.ts";
import { leastSureWords } from "../../model/recording/sureWords.ts";
import { Empty } from "../Empty.tsx";
import { Mark } from "../Mark.tsx";
import { Table } from "../Table.tsx";
import { Band } from "./Band.tsx";
import { BitDrawing } from "./BitDrawing.tsx";

interface BitStripBandProps {
  readonly frame: Frame;
  readonly found: FrameBits;
  /** Its fields and checks in order; none where no layout explains it. */
  readonly stretches: readonly FrameStretch[];
  /** The one that is chosen of them. */
  readonly field: FrameStretch | undefined;
  /** How sure each bit is; empty where that is not known. */
  readonly confidences: readonly number[];
  /** The bit that the cursor stands on, and what it is, in a sentence. */
  readonly cursorBit: number | undefined;
  readonly cursorSays: string | undefined;
  readonly widthPx: number;
  readonly onField: (firstBit: number) => void;
  /** Shows the samples of the chosen field; `undefined` where it is not known where they lie. */
  readonly onSamples: (() => void) | undefined;
  /** Goes to the frame before or after, and to what can be done with it. */
  readonly steps: ComponentChildren;
}

/** The chosen frame, bit by bit, with what its bits mean below; of a burst without a frame its symbols. */
export function BitStripBand(props: BitStripBandProps): JSX.Element {
  const { frame, found, stretches, field: active, confidences, cursorBit, cursorSays, widthPx, steps } = props;
  const { onField, onSamples } = props;
  const activeAt = active ? stretches.indexOf(active) : 0;
  const setActive = (index: number) => {
    const to = stretches[index];
    if (to) onField(to.stretch.at);
  };
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
    const to = placeByKey(event, activeAt, stretches.length - 1);
    if (event.key === "Enter" && onSamples) {
      event.preventDefault();
      onSamples();
      return;
    }
    if (to === undefined) return;
    event.preventDefault();
    setActive(to);
  };

  return (
    <Band
      name="the bits"
      heading={bitsHeading(frame, found)}
      howToRead={<HowToRead />}
      table={() => <BitTable stretches={stretches} found={found} confidences={confidences} />}
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
          confidences={confidences}
          cursorBit={cursorBit}
          active={active}
          onActive={setActive}
          onKey={key}
        />
      )}
      {active && bits && (
        <p class="trace" aria-live="polite">
          {active.isWrong && <Mark strength="look here" words="look here" />} {traceOf(active, bits)}{" "}
          {leastSureWords(active.stretch, confidences)}
        </p>
      )}
      {onSamples && (
        <p class="band-acts">
          <button type="button" class="button small" onClick={onSamples}>
            Show its samples
          </button>
        </p>
      )}
      {cursorSays !== undefined && <p class="caption">{cursorSays}</p>}
    </Band>
  );
}

function BitTable({
  stretches,
  found,
  confidences,
}: Pick<BitStripBandProps, "stretches" | "found" | "confidences">): JSX.Element {
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
        { name: "How sure", cell: ({ stretch }) => leastSureWords(stretch, confidences) || "not known" },
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
        line code. A small upright below a bit is a doubt: the longer, the less sure that bit is.
      </p>
      <p>
        Press a field, or go with the arrow keys, to see its way from the bits to the value; Enter shows the samples
        that it was sent as. The frame round one bit is the bit that the cursor in the signal stands on.
      </p>
    </>
  );
}
