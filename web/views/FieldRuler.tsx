import type { JSX } from "preact";
import { useId } from "preact/hooks";
import { bitsPerRow, type RulerPart, rulerRows, type Stretch } from "../model/fieldRuler.ts";
import { useWidth } from "./useWidth.ts";

const ROW_HEIGHT_PX = 76;
const LEAST_PX_PER_BIT = 12;
/** Room for a letter of the names, and for the longest figure of a row. */
const PX_PER_LETTER = 8;

/** A frame as a measured drawing: bits on the ruler, fields below on braces, check bits hatched. */
export function FieldRuler({ stretches }: { readonly stretches: readonly Stretch[] }): JSX.Element {
  const [box, widthPx] = useWidth();
  const hatch = useId();
  const last = stretches.at(-1);
  const perRow = bitsPerRow(last ? last.at + last.bits : 0, widthPx, LEAST_PX_PER_BIT);
  const rows = rulerRows(stretches, perRow);
  const bitPx = widthPx / perRow;
  return (
    <div ref={box} class="ruler">
      <svg
        width={widthPx}
        height={rows.length * ROW_HEIGHT_PX}
        role="img"
        aria-label="The frame, bit by bit; the tables below have the same in words"
      >
        <defs>
          <pattern id={hatch} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <line class="hatch" x1="0" x2="0" y1="0" y2="6" />
          </pattern>
        </defs>
        {rows.map((row, i) => (
          <g key={row.firstBit} transform={`translate(0 ${i * ROW_HEIGHT_PX})`}>
            <RulerScale firstBit={row.firstBit} bitCount={row.bitCount} bitPx={bitPx} />
            {row.parts.map((part) => (
              <RulerPartView key={part.stretch.at} part={part} bitPx={bitPx} hatch={hatch} />
            ))}
          </g>
        ))}
      </svg>
    </div>
  );
}

interface RulerScaleProps {
  readonly firstBit: number;
  readonly bitCount: number;
  readonly bitPx: number;
}

/** A tick for each bit, a taller one with its number for each byte. */
export function RulerScale({ firstBit, bitCount, bitPx }: RulerScaleProps): JSX.Element {
  const bits = Array.from({ length: bitCount + 1 }, (_, i) => i);
  return (
    <>
      {bits.map((bit) => (
        <line key={bit} class="axis-tick" x1={bit * bitPx} x2={bit * bitPx} y1={bit % 8 === 0 ? 12 : 17} y2="22" />
      ))}
      {bits
        .filter((bit) => bit % 8 === 0 && bit < bitCount)
        .map((bit) => (
          <text key={bit} class="ruler-figure" x={bit * bitPx + 3} y="11">
            {firstBit + bit}
          </text>
        ))}
    </>
  );
}

interface RulerPartProps {
  readonly part: RulerPart;
  readonly bitPx: number;
  /** Id of the pattern that check bits are filled with. */
  readonly hatch: string;
}

/** A part of a stretch: its box, its brace and its name. */
export function RulerPartView({ part, bitPx, hatch }: RulerPartProps): JSX.Element {
  const { stretch, from, count, opens, closes } = part;
  const x = from * bitPx;
  const width = count * bitPx;
  const check = stretch.kind === "check";
  const named = `${stretch.key} ${stretch.name}`;
  const label = named.length * PX_PER_LETTER < width ? named : stretch.key;
  return (
    <g>
      <rect
        class={stretch.kind === "unassigned" ? "stretch stretch-bare" : "stretch"}
        x={x + 0.5}
        y="22"
        width={Math.max(1, width - 1)}
        height="16"
        fill={check ? `url(#${hatch})` : "none"}
      >
        <title>{named}</title>
      </rect>
      {stretch.kind !== "unassigned" && <path class="brace" d={bracePath(x + 2, width - 4, opens, closes)} />}
      <text class="ruler-name" x={x + width / 2} y="64" text-anchor="middle">
        {label}
      </text>
    </g>
  );
}

/** A brace below a stretch; where the stretch goes on in the next row, its end is left open. */
function bracePath(x: number, width: number, opens: boolean, closes: boolean): string {
  const start = opens ? `M${x} 40v5` : `M${x} 45`;
  return `${start}h${width}${closes ? "v-5" : ""}M${x + width / 2} 45v5`;
}
