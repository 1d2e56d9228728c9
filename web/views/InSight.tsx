import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";
import type { Problem } from "../api.ts";
import { ProblemNote } from "./ProblemNote.tsx";

/** What went wrong, brought before the eyes of whoever pressed something far below. */
export function InSight({ problem }: { readonly problem: Problem }): JSX.Element {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => box.current?.focus(), [problem]);
  return (
    <div ref={box} tabIndex={-1}>
      <ProblemNote problem={problem} />
    </div>
  );
}
