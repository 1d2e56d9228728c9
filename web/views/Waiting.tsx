import type { ComponentChildren, JSX } from "preact";
import type { Loaded } from "../loaded.ts";
import { ProblemNote } from "./ProblemNote.tsx";

interface WaitingProps<T> {
  readonly loaded: Loaded<T>;
  /** What is asked for, such as `the receivers`. */
  readonly what: string;
  readonly children: (value: T) => ComponentChildren;
}

/** What was loaded; until then, and where it failed, a sentence. */
export function Waiting<T>({ loaded, what, children }: WaitingProps<T>): JSX.Element {
  switch (loaded.state) {
    case "loading":
      return <p class="waiting">Asking the server for {what} …</p>;
    case "failed":
      return <ProblemNote problem={loaded.problem} again={loaded.reload} />;
    case "there":
      return <>{children(loaded.value)}</>;
  }
}
