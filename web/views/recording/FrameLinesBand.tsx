import type { JSX } from "preact";
import { useEffect, useId, useMemo, useRef, useState } from "preact/hooks";
import {
  drawnLine,
  type FrameLine,
  frameAt,
  type LineDrawing,
  LOOK_WORDS,
  walked,
} from "../../model/recording/frameLines.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { frameWords, linesHeading } from "../../model/recording/frameWords.ts";
import { showing } from "../../model/recording/range.ts";
import { rangeByKey } from "../../model/recording/rangeKeys.ts";
import { timeTicks } from "../../model/recording/timeTicks.ts";
import { Identity } from "../Identity.tsx";
import { Band } from "./Band.tsx";
import { FrameTable } from "./FrameTable.tsx";
import type { RangeProps } from "./rangeProps.ts";
import { AXIS_PX, TimeAxis } from "./TimeAxis.tsx";
import { useGestures } from "./useGestures.ts";

interface FrameLinesBandProps extends RangeProps {
  readonly lines: readonly FrameLine[];
  readonly chosen: Frame | undefined;
  readonly gutterPx: number;
  readonly onChoose: (frame: Frame) => void;
}

const LINE_PX = 40;
const BLOCK_TOP_PX = 15;
const BLOCK_PX = 16;
const PRESS_REACH_PX = 14;

/** A line for each sensor, like staves; blocks are frames, and what could not be read has lines of its own. */
export function FrameLinesBand(props: FrameLinesBandProps): JSX.Element {
  const { lines, bounds, range, chosen, gutterPx, widthPx, onRange, onBack, onChoose } = props;
  const box = useRef<HTMLDivElement>(null);
  const id = useId();
  const [activeId, setActive] = useState<string>();
  const drawings = useMemo(() => lines.map((line) => drawnLine(line, range, widthPx)), [lines, range, widthPx]);
  const ticks = useMemo(() => timeTicks(range, widthPx), [range, widthPx]);
  const heightPx = lines.length * LINE_PX;
  // Whatever chose the frame, the next key goes on from it.
  useEffect(() => setActive(chosen?.id), [chosen?.id]);

  useGestures(box, {
    range,
    bounds,
    leftPx: 0,
    widthPx,
    onRange,
    onPress(xPx, yPx) {
      const drawing = drawings[Math.floor(yPx / LINE_PX)];
      const frame = drawing && frameAt(drawing, xPx, PRESS_REACH_PX);
      if (frame) onChoose(frame);
    },
  });
  const key = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const all = lines.flatMap((line) => line.frames);
    const active = all.find((frame) => frame.id === activeId);
    const next = walked(lines, activeId, event.key);
    const asRange = rangeByKey(event.key, range, bounds, active?.fromSeconds);
    if (next) {
      setActive(next.id);
      onRange(showing(range, next, bounds));
    } else if (event.key === "Enter" || event.key === " ") {
      if (active) onChoose(active);
    } else if (asRange === "back") onBack();
    else if (asRange !== undefined) onRange(asRange);
    else return;
    event.preventDefault();
  };
  const optionOf = (frameId: string) => `${id}-${frameId}`;
  // Out of what is shown there is no option to point at.
  const activeIsDrawn = drawings.some(({ blocks }) =>
    blocks.some((block) => block.frames.some((frame) => frame.id === activeId)),
  );

  return (
    <Band
      name="the lines"
      heading={linesHeading(lines)}
      howToRead={<HowToRead />}
      table={() => <FrameTable frames={lines.flatMap((line) => line.frames)} range={range} onChoose={onChoose} />}
    >
      <div class="frame-lines" style={{ gridTemplateColumns: `${gutterPx}px minmax(0, 1fr)` }}>
        <div class="line-titles" aria-hidden="true">
          {lines.map((line) => (
            <div key={line.key} class={`line-title line-${line.kind}`} style={{ height: `${LINE_PX}px` }}>
              {line.isIdentity ? <Identity value={line.title} /> : line.title}
            </div>
          ))}
        </div>
        <div
          ref={box}
          class="drawing"
          role="listbox"
          tabIndex={0}
          aria-label="Frames, line by line"
          aria-activedescendant={activeId !== undefined && activeIsDrawn ? optionOf(activeId) : undefined}
          onKeyDown={key}
        >
          <svg width={widthPx} height={heightPx + AXIS_PX} aria-hidden="true">
            <TimeAxis ticks={ticks} widthPx={widthPx} y={heightPx} reachPx={heightPx} />
            {drawings.map((drawing, row) => (
              <g key={drawing.line.key} transform={`translate(0 ${row * LINE_PX})`}>
                <Stave drawing={drawing} widthPx={widthPx} activeId={activeId} chosenId={chosen?.id} />
              </g>
            ))}
          </svg>
          <div class="heard-only">
            {drawings.map(({ line, blocks }) => (
              // biome-ignore lint/a11y/useSemanticElements: a group of options, not of boxes
              <div key={line.key} role="group" aria-label={line.title}>
                {blocks.map(({ frames }) => {
                  const shown = frames.find(({ id }) => id === activeId) ?? frames[0]!;
                  const more = frames.length === 1 ? "" : `, and ${frames.length - 1} close by`;
                  return (
                    <div
                      key={shown.id}
                      id={optionOf(shown.id)}
                      role="option"
                      tabIndex={-1}
                      aria-selected={frames.some(({ id }) => id === chosen?.id)}
                    >
                      {frameWords(shown) + more}
                    </div>
                  );
                })}
              </div>
            ))}
          </div>
        </div>
      </div>
      <p class="caption">Seconds from the first sample</p>
    </Band>
  );
}

interface StaveProps {
  readonly drawing: LineDrawing;
  readonly widthPx: number;
  readonly activeId: string | undefined;
  readonly chosenId: string | undefined;
}

function Stave({ drawing: { line, blocks, brackets }, widthPx, activeId, chosenId }: StaveProps): JSX.Element {
  const middle = BLOCK_TOP_PX + BLOCK_PX / 2;
  const below = BLOCK_TOP_PX + BLOCK_PX + 2;
  return (
    <>
      <line
        class={line.kind === "sensor" ? "stave" : "stave stave-dotted"}
        x1={0}
        x2={widthPx}
        y1={middle}
        y2={middle}
      />
      {brackets.map(({ telegramId, x, width }) => (
        <path key={telegramId} class="repeat-bracket" d={`M${x} 11V7H${x + width}V11`} />
      ))}
      {blocks.map(({ x, width, look, frames }) => (
        <g key={frames[0]?.id}>
          <rect class={`block block-${look}`} x={x + 0.75} y={BLOCK_TOP_PX} width={width - 1.5} height={BLOCK_PX} />
          {frames.some(({ id }) => id === activeId) && (
            <rect class="active-ring" x={x - 4} y={BLOCK_TOP_PX - 4} width={width + 8} height={BLOCK_PX + 8} />
          )}
          {frames.some(({ id }) => id === chosenId) && (
            <path class="chosen-mark" d={`M${x + width / 2} ${below}l6 7h-12z`} />
          )}
        </g>
      ))}
    </>
  );
}

function HowToRead(): JSX.Element {
  return (
    <>
      <ul class="look-key">
        {(["solid", "hollow", "dotted"] as const).map((look) => (
          <li key={look}>
            <svg width={28} height={18} aria-hidden="true">
              <rect class={`block block-${look}`} x={2} y={1} width={24} height={BLOCK_PX} />
            </svg>
            {LOOK_WORDS[look]}
          </li>
        ))}
        <li>
          <svg width={28} height={18} aria-hidden="true">
            <path class="repeat-bracket" d="M2 14V6H26V14" />
          </svg>
          copies of one telegram
        </li>
      </ul>
      <p>
        Each line is a sensor; what could not be read stands below, by what was wrong. A block is as long as its burst.
        Press a block to see its bits and its ladder; the wedge below it marks the chosen one.
      </p>
      <p>
        With the keyboard: left and right go along a line, up and down to the next line, Home and End to its ends, Enter
        chooses. Plus, minus, 0 and Backspace change what is shown.
      </p>
    </>
  );
}
