import type { JSX } from "preact";
import { useId } from "preact/hooks";
import {
  type BitStrip,
  bitDoubts,
  type PlacedPart,
  RIBBON,
  type RulerLabel,
  type StripRow,
} from "../../model/recording/bitStrip.ts";
import type { FrameStretch } from "../../model/recording/frameStretches.ts";

interface BitDrawingProps {
  readonly bits: Uint8Array;
  readonly strip: BitStrip;
  readonly stretches: readonly FrameStretch[];
  readonly brokenAt: readonly number[];
  /** How sure each bit is, as in `FrameTiming.confidences`; empty where that is not known. */
  readonly confidences: readonly number[];
  /** The bit that the cursor stands on. */
  readonly cursorBit: number | undefined;
  readonly active: FrameStretch | undefined;
  readonly onActive: (index: number) => void;
  readonly onKey: (event: KeyboardEvent) => void;
}

/** From the top of a row: its bit numbers, the ribbon, its digits, doubts, the braces, then the lanes of the labels. */
const NUMBERS_PX = 16;
const DIGITS_PX = RIBBON.lowY + 15;
const DOUBTS_PX = DIGITS_PX + 1;
const BRACE_PX = DIGITS_PX + 12;
const LANES_PX = BRACE_PX + 14;
const LANE_PX = 38;
const ROW_GAP_PX = 14;
/** Below this a bit has no room for its digit. */
const DIGIT_NEEDS_PX = 9;
/** Digits are of one width. */
const HALF_DIGIT_PX = 3.6;

/** The ribbon with its ruler; one tab stop, in which arrow keys go from field to field. */
export function BitDrawing(props: BitDrawingProps): JSX.Element {
  const { bits, strip, stretches, brokenAt, active, onActive, onKey } = props;
  const id = useId();
  const tops: number[] = [];
  let heightPx = 0;
  for (const row of strip.rows) {
    tops.push(heightPx);
    heightPx += NUMBERS_PX + (row.laneCount > 0 ? LANES_PX + row.laneCount * LANE_PX : DIGITS_PX) + ROW_GAP_PX;
  }
  const widthPx = strip.rows.reduce((most, row) => Math.max(most, rightEnd(row, strip)), 0) + 2;
  const drawing = (
    <svg class="bits-drawing" width={Math.ceil(widthPx)} height={heightPx} aria-hidden="true">
      <defs>
        <pattern id={`${id}-hatch`} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <line class="hatch" x1="0" x2="0" y1="0" y2="6" />
        </pattern>
      </defs>
      {strip.rows.map((row, i) => (
        <g key={row.firstBit} transform={`translate(0 ${tops[i]})`}>
          <Row {...props} row={row} hatch={`${id}-hatch`} bits={bits} brokenAt={brokenAt} />
        </g>
      ))}
    </svg>
  );
  if (stretches.length === 0) {
    return (
      <div
        class="bits-box"
        role="img"
        data-keys="bits"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls sideways, and has to be reached by keys
        tabIndex={0}
        aria-label={`${bits.length} symbols: ${bits.join("")}`}
      >
        {drawing}
      </div>
    );
  }
  return (
    <div
      class="bits-box"
      role="listbox"
      data-keys="bits"
      tabIndex={0}
      aria-label="Fields of the frame"
      aria-activedescendant={active && `${id}-${active.stretch.at}`}
      onKeyDown={onKey}
      onClick={(event) => {
        const at = event.target instanceof Element ? event.target.closest("[data-at]")?.getAttribute("data-at") : null;
        const index = stretches.findIndex(({ stretch }) => String(stretch.at) === at);
        if (index >= 0) onActive(index);
      }}
    >
      {drawing}
      <div class="heard-only">
        {stretches.map(({ stretch, value }) => (
          <div
            key={stretch.at}
            id={`${id}-${stretch.at}`}
            role="option"
            tabIndex={-1}
            aria-selected={stretch.at === active?.stretch.at}
          >
            {`${stretch.name} ${value}`}
          </div>
        ))}
      </div>
    </div>
  );
}

function rightEnd(row: StripRow, strip: BitStrip): number {
  const bitsEnd = strip.x(row.bitCount - 1) + strip.bitPx;
  return row.labels.reduce((most, { x, width }) => Math.max(most, x + width), bitsEnd);
}

type RowProps = BitDrawingProps & { readonly row: StripRow; readonly hatch: string };

function Row(props: RowProps): JSX.Element {
  const { row, strip, bits, stretches, brokenAt, confidences, cursorBit, active, hatch } = props;
  const byAt = new Map(stretches.map((one) => [one.stretch.at, one]));
  const { bitPx, x } = strip;
  const inRow = Array.from({ length: row.bitCount }, (_, bit) => bit);
  return (
    <>
      {inRow
        .filter((bit) => bit % 8 === 0)
        .map((bit) => (
          <text key={bit} class="bit-number" x={x(bit)} y={11}>
            {row.firstBit + bit}
          </text>
        ))}
      <g transform={`translate(0 ${NUMBERS_PX})`}>
        {row.parts.map((placed) => (
          <PartDrawing
            key={placed.part.stretch.at}
            placed={placed}
            one={byAt.get(placed.part.stretch.at)}
            isActive={active !== undefined && placed.part.stretch.at === active.stretch.at}
            hatch={hatch}
          />
        ))}
        <path class="ribbon" d={row.ribbon} />
        {bitPx >= DIGIT_NEEDS_PX && (
          // One element for the whole row: a long frame has thousands of digits.
          <text
            class="bit-digit"
            x={inRow.map((bit) => x(bit) + bitPx / 2 - HALF_DIGIT_PX).join(" ")}
            y={DIGITS_PX - 2}
          >
            {bits.subarray(row.firstBit, row.firstBit + row.bitCount).join("")}
          </text>
        )}
        <path class="doubt" d={bitDoubts(confidences, row, strip, DOUBTS_PX)} />
        {cursorBit !== undefined && cursorBit >= row.firstBit && cursorBit < row.firstBit + row.bitCount && (
          <rect
            class="cursor-bit"
            x={x(cursorBit - row.firstBit)}
            y={RIBBON.highY - 4}
            width={bitPx}
            height={DIGITS_PX - RIBBON.highY + 6}
          />
        )}
        {brokenAt
          .filter((bit) => bit >= row.firstBit && bit < row.firstBit + row.bitCount)
          .map((bit) => (
            <path key={bit} class="notch" d={`M${x(bit - row.firstBit) + bitPx / 2} 2l-5 -7h10z`} />
          ))}
        {row.labels.map((label) => (
          <Label key={label.stretch.at} label={label} isWrong={byAt.get(label.stretch.at)?.isWrong ?? false} />
        ))}
      </g>
    </>
  );
}

interface PartDrawingProps {
  readonly placed: PlacedPart;
  readonly one: FrameStretch | undefined;
  readonly isActive: boolean;
  readonly hatch: string;
}

function PartDrawing({ placed: { part, x, width }, one, isActive, hatch }: PartDrawingProps): JSX.Element | null {
  // Symbols without a layout have no fields to show.
  if (!one) return null;
  const { kind, at } = part.stretch;
  const [left, right] = [x + 1.5, x + width - 1.5];
  return (
    <g data-at={at} class="part">
      {/* Room for a finger, from the ribbon to the brace. */}
      <rect class="part-room" x={x} y={-4} width={width} height={BRACE_PX + 14} />
      {kind === "check" && (
        <rect
          x={x}
          y={RIBBON.highY - 3}
          width={width}
          height={RIBBON.lowY - RIBBON.highY + 6}
          fill={`url(#${hatch})`}
        />
      )}
      {kind === "unassigned" ? (
        <path class="brace brace-bare" d={`M${left} ${BRACE_PX + 2}H${right}`} />
      ) : (
        <path class="brace" d={bracePath(left, right, part.opens, part.closes)} />
      )}
      {one.isConstant && <path class="brace" d={`M${left} ${BRACE_PX + 8}H${right}`} />}
      {isActive && <rect class="active-ring" x={x - 2} y={-5} width={width + 4} height={BRACE_PX + 14} />}
    </g>
  );
}

/** A brace below a stretch; where the stretch goes on in another row, its end is left open. */
function bracePath(left: number, right: number, opens: boolean, closes: boolean): string {
  const start = opens ? `M${left} ${BRACE_PX}v5` : `M${left} ${BRACE_PX + 5}`;
  return `${start}H${right}${closes ? "v-5" : ""}`;
}

function Label({ label, isWrong }: { readonly label: RulerLabel; readonly isWrong: boolean }): JSX.Element {
  const { stretch, words, x, lane } = label;
  const top = LANES_PX + lane * LANE_PX;
  return (
    <g data-at={stretch.at} class="ruler-label">
      <path class="leader" d={`M${x} ${BRACE_PX + 5}V${words.lower === "" ? top : top + 29}`} />
      {isWrong && <rect class="wrong-ground" x={x + 3} y={top} width={label.width + 8} height={17} />}
      <text
        class={isWrong ? "label-upper label-wrong" : "label-upper"}
        x={words.lower === "" ? x : x + 6}
        y={top + 13}
        text-anchor={words.lower === "" ? "middle" : "start"}
      >
        {words.upper}
      </text>
      <text class="label-lower" x={x + 6} y={top + 29}>
        {words.lower}
      </text>
    </g>
  );
}
