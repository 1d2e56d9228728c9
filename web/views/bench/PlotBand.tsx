import type { ComponentChildren, JSX } from "preact";
import { useState } from "preact/hooks";
import { placeByKey } from "../../model/listKeys.ts";
import { Band } from "../recording/Band.tsx";
import { useWidth } from "../useWidth.ts";

interface PlotBandProps {
  /** A sentence: what there is to see. */
  readonly heading: ComponentChildren;
  /** What it is called where it is only heard. */
  readonly name: string;
  /** What lies on which axis, in words with units. */
  readonly axes: string;
  readonly howToRead: ComponentChildren;
  readonly table: () => ComponentChildren;
  /** What can be read off place by place, in words, with where it lies. */
  readonly stepsAt: (widthPx: number) => readonly PlotStep[];
  /** The drawing, for a width. */
  readonly children: (widthPx: number) => ComponentChildren;
  readonly heightAt: (widthPx: number) => number;
}

/** A place of a plot that can be read off. */
export interface PlotStep {
  readonly x: number;
  readonly y: number;
  readonly words: string;
}

/** How near a press has to come to what it reads. */
const REACH_PX = 28;

/** A plot that is read off value by value, by keys or by a press; the same stands in a table. */
export function PlotBand(props: PlotBandProps): JSX.Element {
  const { heading, name, axes, howToRead, table, stepsAt, children, heightAt } = props;
  const [box, widthPx] = useWidth();
  const [asked, setAsked] = useState<number>();
  const steps = stepsAt(widthPx);
  const at = asked === undefined ? undefined : Math.min(asked, steps.length - 1);
  const here = at === undefined ? undefined : steps[at];
  const words = (here ?? steps[0])?.words ?? "nothing to read off yet";
  const key = (event: KeyboardEvent) => {
    const to = placeByKey(event, at ?? -1, steps.length - 1);
    if (to === undefined) return;
    setAsked(to);
    event.preventDefault();
  };
  const press = (event: MouseEvent & { readonly currentTarget: HTMLElement }) => {
    const { left, top } = event.currentTarget.getBoundingClientRect();
    const [x, y] = [event.clientX - left, event.clientY - top];
    const near = steps
      .map((step, i) => ({ i, away: Math.hypot(step.x - x, step.y - y) }))
      .toSorted((a, b) => a.away - b.away)[0];
    setAsked(near && near.away <= REACH_PX ? near.i : undefined);
  };
  return (
    <Band
      name={name}
      heading={heading}
      howToRead={
        <>
          {howToRead}
          <p>
            Press a mark to read it off. With the keyboard: the arrow keys go from one to the next, Home and End to the
            ends.
          </p>
        </>
      }
      table={table}
    >
      <div ref={box}>
        <div
          class="drawing"
          role="slider"
          tabIndex={0}
          aria-label={`${name}, value by value`}
          aria-valuemin={steps.length === 0 ? 0 : 1}
          aria-valuemax={steps.length}
          aria-valuenow={at === undefined ? Math.min(1, steps.length) : at + 1}
          aria-valuetext={words}
          onKeyDown={key}
          onClick={press}
        >
          <svg class="plot" width={widthPx} height={heightAt(widthPx)} aria-hidden="true">
            {children(widthPx)}
            {here && <circle class="plot-here" cx={here.x} cy={here.y} r="9" />}
          </svg>
        </div>
      </div>
      <p class="caption" aria-live="polite">
        {axes}
        {here ? `; ${here.words}` : ""}
      </p>
    </Band>
  );
}
