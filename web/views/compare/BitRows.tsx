import type { JSX } from "preact";
import { useId } from "preact/hooks";
import type { BitRowsShown, ShownDifference } from "../../model/compare/bitRows.ts";
import type { Stretch } from "../../model/fieldRuler.ts";
import { placeByKey } from "../../model/listKeys.ts";
import { bitStrip, RIBBON } from "../../model/recording/bitStrip.ts";

interface BitRowsProps {
  readonly rows: BitRowsShown;
  readonly widthPx: number;
  readonly active: ShownDifference | undefined;
  readonly activeAt: number;
  readonly onActive: (index: number) => void;
}

/** From the top of a row: its bit numbers, then a ribbon with its digits for each, then braces and names. */
const NUMBERS_PX = 18;
const RIBBON_PX = 56;
const DIGITS_PX = RIBBON.lowY + 15;
const NAMES_PX = 10;
const LANE_PX = 22;
const ROW_GAP_PX = 18;
const LETTER_PX = 26;
/** Below this a bit has no room for its digit. */
const DIGIT_NEEDS_PX = 9;

/** Ribbons above each other, bit below bit; one tab stop, in which arrow keys go from difference to difference. */
export function BitRows({ rows, widthPx, active, activeAt, onActive }: BitRowsProps): JSX.Element {
  const id = useId();
  const { stretches, differences, firstBit } = rows;
  const names = new Map(stretches.map((stretch) => [stretch.at, stretch.name]));
  const roomPx = widthPx - LETTER_PX;
  const longest = rows.rows.toSorted((a, b) => b.bits.length - a.bits.length)[0]?.bits ?? new Uint8Array();
  // All are laid out alike, so that bit stands below bit.
  const wordsOf = ({ at, kind }: Stretch) => {
    const name = names.get(at);
    return kind === "unassigned" || name === undefined ? undefined : { upper: name, lower: "" };
  };
  const all = stretches.length > 0 ? stretches : bare(longest.length);
  const ruler = bitStrip(longest, all, wordsOf, roomPx);
  const strips = rows.rows.map(({ bits }) => bitStrip(bits, all, wordsOf, roomPx));
  const { bitPx, x } = ruler;
  const tops: number[] = [];
  let heightPx = 0;
  for (const row of ruler.rows) {
    tops.push(heightPx);
    heightPx +=
      NUMBERS_PX +
      rows.rows.length * RIBBON_PX +
      (row.laneCount > 0 ? NAMES_PX + row.laneCount * LANE_PX : 0) +
      ROW_GAP_PX;
  }
  const rightPx = Math.max(
    0,
    ...ruler.rows.map((row) =>
      Math.max(x(row.bitCount - 1) + bitPx, ...row.labels.map((label) => label.x + label.width)),
    ),
  );

  const key = (event: KeyboardEvent) => {
    const to = placeByKey(event, activeAt, differences.length - 1);
    if (to === undefined) return;
    event.preventDefault();
    onActive(to);
  };
  const drawing = (
    <svg class="bits-drawing" width={Math.ceil(LETTER_PX + rightPx) + 2} height={heightPx} aria-hidden="true">
      {ruler.rows.map((row, r) => (
        <g key={row.firstBit} transform={`translate(${LETTER_PX} ${tops[r]})`}>
          {Array.from({ length: row.bitCount }, (_, bit) => bit)
            .filter((bit) => bit % 8 === 0)
            .map((bit) => (
              <text key={bit} class="bit-number" x={x(bit)} y={11}>
                {firstBit + row.firstBit + bit}
              </text>
            ))}
          {rows.rows.map((one, i) => {
            const own = strips[i]?.rows[r];
            const inRow = Array.from({ length: row.bitCount }, (_, bit) => bit).filter(
              (bit) => one.bits[row.firstBit + bit] !== undefined,
            );
            const differing = inRow.filter((bit) => one.differing.has(row.firstBit + bit));
            return (
              <g key={one.at} transform={`translate(0 ${NUMBERS_PX + i * RIBBON_PX})`}>
                <text class="end-letter" x={-LETTER_PX + 4} y={RIBBON.lowY - 4}>
                  {one.letter}
                </text>
                <path class="ribbon" d={own?.ribbon ?? ""} />
                {bitPx >= DIGIT_NEEDS_PX &&
                  inRow.map((bit) => (
                    <text key={bit} class="bit-digit" x={x(bit) + bitPx / 2} y={DIGITS_PX - 2} text-anchor="middle">
                      {one.bits[row.firstBit + bit]}
                    </text>
                  ))}
                {differing.map((bit) => (
                  <g key={bit} class="differs">
                    <path class="notch" d={`M${x(bit) + bitPx / 2} 2l-4.5 -7h9z`} />
                    <line
                      class="differs-line"
                      x1={x(bit) + 1}
                      x2={x(bit) + bitPx - 1}
                      y1={DIGITS_PX + 3}
                      y2={DIGITS_PX + 3}
                    />
                  </g>
                ))}
                {active?.letter === one.letter &&
                  differing.some((bit) => isIn(active, firstBit + row.firstBit + bit)) && (
                    <ActiveRing
                      active={active}
                      one={differing.map((bit) => firstBit + row.firstBit + bit)}
                      left={(bit) => x(bit - firstBit - row.firstBit)}
                      bitPx={bitPx}
                    />
                  )}
              </g>
            );
          })}
          <g transform={`translate(0 ${NUMBERS_PX + rows.rows.length * RIBBON_PX})`}>
            {row.parts
              .filter(({ part }) => part.stretch.kind !== "unassigned")
              .map(({ part, x: left, width }) => (
                <path
                  key={part.stretch.at}
                  class="brace"
                  d={bracePath(left + 1.5, left + width - 1.5, part.opens, part.closes)}
                />
              ))}
            {row.labels.map((label) => (
              <g key={label.stretch.at}>
                <path
                  class="leader"
                  d={`M${label.x} 0V${NAMES_PX + label.lane * LANE_PX + (label.words.upper === label.stretch.key ? 0 : 12)}`}
                />
                <text
                  class="label-upper"
                  x={label.words.upper === label.stretch.key ? label.x : label.x + 5}
                  y={NAMES_PX + label.lane * LANE_PX + 13}
                  text-anchor={label.words.upper === label.stretch.key ? "middle" : "start"}
                >
                  {label.words.upper}
                </text>
              </g>
            ))}
          </g>
        </g>
      ))}
    </svg>
  );
  if (differences.length === 0) {
    return (
      // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls sideways, and has to be reached by keys
      <div class="bits-box" role="img" tabIndex={0} aria-label="The bits of all, which are the same">
        {drawing}
      </div>
    );
  }
  return (
    <div
      class="bits-box"
      role="listbox"
      tabIndex={0}
      aria-label="Bits that differ"
      aria-activedescendant={active && `${id}-${activeAt}`}
      onKeyDown={key}
    >
      {drawing}
      <div class="heard-only">
        {differences.map(({ letter, difference }, i) => (
          <div
            key={`${letter} ${difference.at}`}
            id={`${id}-${i}`}
            role="option"
            tabIndex={-1}
            aria-selected={i === activeAt}
          >
            {`${letter}: ${difference.says}`}
          </div>
        ))}
      </div>
    </div>
  );
}

interface ActiveRingProps {
  readonly active: ShownDifference;
  /** Bits of the row that differ. */
  readonly one: readonly number[];
  readonly left: (bit: number) => number;
  readonly bitPx: number;
}

function ActiveRing({ active, one, left, bitPx }: ActiveRingProps): JSX.Element | null {
  const inside = one.filter((bit) => isIn(active, bit));
  const [first, last] = [inside[0], inside.at(-1)];
  if (first === undefined || last === undefined) return null;
  return (
    <rect
      class="active-ring"
      x={left(first) - 2}
      y={-8}
      width={left(last) + bitPx - left(first) + 4}
      height={DIGITS_PX + 15}
    />
  );
}

function isIn({ difference }: ShownDifference, bit: number): boolean {
  return bit >= difference.at && bit < difference.at + difference.count;
}

function bracePath(left: number, right: number, opens: boolean, closes: boolean): string {
  return `${opens ? `M${left} -5v5` : `M${left} 0`}H${right}${closes ? "v-5" : ""}`;
}

function bare(bits: number) {
  return [{ kind: "unassigned", key: "·", name: "symbols", at: 0, bits } as const];
}
