import type { ComponentChildren, JSX } from "preact";
import { useEffect, useId, useMemo, useRef, useState } from "preact/hooks";
import { useKeys } from "../../device.ts";
import {
  blocksPath,
  bracketsPath,
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
import { TimePointers } from "./TimePointers.tsx";
import { useGestures } from "./useGestures.ts";

interface FrameLinesBandProps extends RangeProps {
  readonly lines: readonly FrameLine[];
  readonly chosen: Frame | undefined;
  readonly gutterPx: number;
  /** The wheel that a sensor sits on, where a job says so. */
  readonly wheelOf: (identity: string) => string | undefined;
  /** The order of the lines and how to change it. */
  readonly order: ComponentChildren;
  readonly onChoose: (frame: Frame) => void;
}

const LINE_PX = 40;
const BLOCK_TOP_PX = 15;
const BLOCK_PX = 16;
const PRESS_REACH_PX = 14;

/** A line for each sensor, like staves; blocks are frames, and what could not be read has lines of its own. */
export function FrameLinesBand(props: FrameLinesBandProps): JSX.Element {
  const { lines, bounds, range, chosen, gutterPx, widthPx, cursorSeconds, marks, wheelOf, order } = props;
  const { onRange, onBack, onCursor, onChoose } = props;
  const box = useRef<HTMLDivElement>(null);
  const id = useId();
  const keys = useKeys();
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
      onCursor(range.fromSeconds + (xPx / widthPx) * (range.toSeconds - range.fromSeconds));
      if (frame) onChoose(frame);
    },
  });
  const key = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const all = lines.flatMap((line) => line.frames);
    const active = all.find((frame) => frame.id === activeId);
    const next = walked(lines, activeId, event.key);
    const asRange = rangeByKey(event, range, bounds, active?.fromSeconds, keys);
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
  // Out of what is shown there is no option to point at. Only the one that is pointed at is told, with its place among
  // all: a thousand more would be made anew with every step of a drag.
  const active = activeOption(drawings, activeId);

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
              {line.isIdentity ? <LineName identity={line.title} wheel={wheelOf(line.title)} /> : line.title}
            </div>
          ))}
        </div>
        <div
          ref={box}
          class="drawing"
          role="listbox"
          data-keys="lines"
          tabIndex={0}
          aria-label="Frames, line by line"
          aria-activedescendant={active && optionOf(active.frame.id)}
          onKeyDown={key}
        >
          <svg width={widthPx} height={heightPx + AXIS_PX} aria-hidden="true">
            <TimeAxis ticks={ticks} widthPx={widthPx} y={heightPx} reachPx={heightPx} />
            {drawings.map((drawing, row) => (
              <g key={drawing.line.key} transform={`translate(0 ${row * LINE_PX})`}>
                <Stave drawing={drawing} widthPx={widthPx} activeId={activeId} chosenId={chosen?.id} />
              </g>
            ))}
            <TimePointers
              range={range}
              widthPx={widthPx}
              heightPx={heightPx}
              cursorSeconds={cursorSeconds}
              marks={marks}
            />
          </svg>
          <div class="heard-only">
            {active && (
              <div
                id={optionOf(active.frame.id)}
                role="option"
                tabIndex={-1}
                aria-selected={active.frame.id === chosen?.id}
                aria-posinset={active.place}
                aria-setsize={active.count}
              >
                {`${active.line.title}: ${frameWords(active.frame)}`}
              </div>
            )}
          </div>
        </div>
      </div>
      {order}
      <p class="caption">Seconds from the first sample</p>
    </Band>
  );
}

/** The frame that keys stand on, where it is drawn, and its place among those that are. */
function activeOption(drawings: readonly LineDrawing[], activeId: string | undefined) {
  let count = 0;
  let found: { readonly line: FrameLine; readonly frame: Frame; readonly place: number } | undefined;
  for (const { line, blocks } of drawings) {
    for (const { frames } of blocks) {
      for (const frame of frames) {
        count++;
        if (frame.id === activeId) found = { line, frame, place: count };
      }
    }
  }
  return found && { ...found, count };
}

/** A sensor by its ID and, where a job says so, by its wheel. */
function LineName({ identity, wheel }: { readonly identity: string; readonly wheel: string | undefined }): JSX.Element {
  return (
    <span>
      <Identity value={identity} />
      {wheel !== undefined && <span class="line-wheel"> {wheel}</span>}
    </span>
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
      <path class="repeat-bracket" d={bracketsPath(brackets)} />
      {(["solid", "hollow", "dotted"] as const).map((look) => (
        <path key={look} class={`block block-${look}`} d={blocksPath(blocks, look, BLOCK_TOP_PX, BLOCK_PX)} />
      ))}
      {blocks
        .filter(({ frames }) => frames.some(({ id }) => id === activeId || id === chosenId))
        .map(({ x, width, frames }) => (
          <g key={frames[0]?.id}>
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
