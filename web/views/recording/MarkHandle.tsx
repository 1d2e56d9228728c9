import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";

interface MarkHandleProps {
  readonly name: string;
  readonly xPx: number;
  readonly onMoved: (xPx: number) => void;
}

/**
 * What a mark is dragged by. It is set where it is let go of, so that it can come to the nearest edge there. Keys set it
 * from the drawing, and buttons below it do: no stop of the Tab key of its own.
 */
export function MarkHandle({ name, xPx, onMoved }: MarkHandleProps): JSX.Element {
  const begun = useRef<{ readonly clientX: number; readonly xPx: number }>(undefined);
  const [byPx, setBy] = useState(0);
  const over = () => {
    begun.current = undefined;
    setBy(0);
  };
  return (
    <span
      class="mark-handle"
      style={{ left: `${xPx + byPx}px` }}
      aria-hidden="true"
      onPointerDown={(event) => {
        if (event.button !== 0) return;
        event.stopPropagation();
        event.currentTarget.setPointerCapture(event.pointerId);
        begun.current = { clientX: event.clientX, xPx };
      }}
      onPointerMove={(event) => {
        if (begun.current) setBy(event.clientX - begun.current.clientX);
      }}
      onPointerUp={(event) => {
        const start = begun.current;
        if (!start) return;
        event.stopPropagation();
        over();
        if (start && event.clientX !== start.clientX) onMoved(start.xPx + event.clientX - start.clientX);
      }}
      onPointerCancel={over}
    >
      {name}
    </span>
  );
}
