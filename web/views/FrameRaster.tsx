import type { JSX } from "preact";
import { useId, useRef } from "preact/hooks";
import { bitsPerRow, rulerRows, type Stretch } from "../model/fieldRuler.ts";
import { onesPath, type RasterRow } from "../model/workshop/frameRaster.ts";
import { RulerPartView, RulerScale } from "./FieldRuler.tsx";
import { useWidth } from "./useWidth.ts";

const LEAST_PX_PER_BIT = 8;
const SCALE_PX = 22;
const BARS_PX = 30;
const RULER_PX = 50;
const GAP_PX = 14;
/** Of one telegram; between two sensors a line's room. */
const ROW_PX = 9;

interface FrameRasterProps {
  readonly rows: readonly RasterRow[];
  readonly stretches: readonly Stretch[];
  /** Of each bit: the share of telegrams after which it changed, 0 to 1. */
  readonly flips: readonly number[];
  /** What it shows, for those who hear the page. */
  readonly label: string;
  /** The bits that are chosen, and what chooses others by a stroke over them. */
  readonly chosen?: { readonly at: number; readonly bits: number } | undefined;
  readonly onChoose?: (at: number, bits: number) => void;
}

/** Frames below each other, a box for each 1; above them how often each bit changes, below them what it is. */
export function FrameRaster({ rows, stretches, flips, label, chosen, onChoose }: FrameRasterProps): JSX.Element {
  const [box, widthPx] = useWidth();
  const hatch = useId();
  const from = useRef<number>(undefined);
  const bitCount = flips.length;
  const perRow = bitsPerRow(bitCount, widthPx, LEAST_PX_PER_BIT);
  const bitPx = widthPx / perRow;
  const tops = topsOf(rows);
  const bodyPx = tops.height;
  const bandPx = SCALE_PX + BARS_PX + bodyPx + RULER_PX + GAP_PX;
  const bands = rulerRows(stretches, perRow);
  const bitAt = (event: PointerEvent & { readonly currentTarget: SVGSVGElement }) => {
    const at = event.currentTarget.getBoundingClientRect();
    const band = Math.floor((event.clientY - at.top) / bandPx);
    const inRow = Math.max(0, Math.min(perRow - 1, Math.floor((event.clientX - at.left) / bitPx)));
    return Math.max(0, Math.min(bitCount - 1, band * perRow + inRow));
  };
  const stroke = (to: number) => {
    if (from.current === undefined || !onChoose) return;
    onChoose(Math.min(from.current, to), Math.abs(to - from.current) + 1);
  };
  return (
    <div ref={box} class={onChoose ? "ruler raster raster-choosing" : "ruler raster"}>
      <svg
        width={widthPx}
        height={bands.length * bandPx}
        role="img"
        aria-label={label}
        onPointerDown={(event) => {
          if (!onChoose) return;
          event.currentTarget.setPointerCapture(event.pointerId);
          from.current = bitAt(event);
          stroke(from.current);
        }}
        onPointerMove={(event) => stroke(bitAt(event))}
        onPointerUp={(event) => {
          stroke(bitAt(event));
          from.current = undefined;
        }}
        onPointerCancel={() => {
          from.current = undefined;
        }}
      >
        <defs>
          <pattern id={hatch} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <line class="hatch" x1="0" x2="0" y1="0" y2="6" />
          </pattern>
        </defs>
        {bands.map(({ firstBit, bitCount: count, parts }, i) => (
          <g key={firstBit} transform={`translate(0 ${i * bandPx})`}>
            <RulerScale firstBit={firstBit} bitCount={count} bitPx={bitPx} />
            {chosen && <Chosen {...chosen} firstBit={firstBit} count={count} bitPx={bitPx} height={bandPx - GAP_PX} />}
            <path class="raster-flips" d={flipsPath(flips, firstBit, count, bitPx)} />
            <line class="scale-line" x1="0" x2={count * bitPx} y1={SCALE_PX + BARS_PX} y2={SCALE_PX + BARS_PX} />
            {rows.map((row, k) => (
              <path
                key={row.key}
                class="raster-ones"
                d={onesPath(row.bits, firstBit, count, bitPx, SCALE_PX + BARS_PX + tops.at[k]!, ROW_PX - 2)}
              />
            ))}
            <g transform={`translate(0 ${SCALE_PX + BARS_PX + bodyPx - 16})`}>
              {parts.map((part) => (
                <RulerPartView key={part.stretch.at} part={part} bitPx={bitPx} hatch={hatch} />
              ))}
            </g>
          </g>
        ))}
      </svg>
    </div>
  );
}

/** Where each row stands; sensors are apart by half a row. */
function topsOf(rows: readonly RasterRow[]): { readonly at: readonly number[]; readonly height: number } {
  const at: number[] = [];
  let y = 4;
  for (const [i, row] of rows.entries()) {
    if (i > 0 && row.sender !== rows[i - 1]!.sender) y += ROW_PX / 2;
    at.push(y);
    y += ROW_PX;
  }
  return { at, height: y };
}

/** A bar for each bit that changes, higher the oftener. */
function flipsPath(flips: readonly number[], firstBit: number, count: number, bitPx: number): string {
  let path = "";
  for (let i = 0; i < count; i++) {
    const height = Math.round((BARS_PX - 4) * (flips[firstBit + i] ?? 0));
    if (height > 0) {
      path += `M${(i * bitPx + 1).toFixed(1)} ${SCALE_PX + BARS_PX - height}h${(bitPx - 2).toFixed(1)}v${height}h${(2 - bitPx).toFixed(1)}z`;
    }
  }
  return path;
}

interface ChosenProps {
  readonly at: number;
  readonly bits: number;
  readonly firstBit: number;
  readonly count: number;
  readonly bitPx: number;
  readonly height: number;
}

function Chosen({ at, bits, firstBit, count, bitPx, height }: ChosenProps): JSX.Element | null {
  const from = Math.max(at, firstBit);
  const to = Math.min(at + bits, firstBit + count);
  if (to <= from) return null;
  return <rect class="raster-chosen" x={(from - firstBit) * bitPx} y="0" width={(to - from) * bitPx} height={height} />;
}
