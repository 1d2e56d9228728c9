import type { ComponentType } from "preact";
import { useEffect, useState } from "preact/hooks";
import { ProblemNote } from "./ProblemNote.tsx";

/** A part of the pages that few open: its code is fetched when it is first shown, so that the others begin sooner. */
export function lazily<Props extends object>(load: () => Promise<ComponentType<Props>>): ComponentType<Props> {
  let Part: ComponentType<Props> | undefined;
  return function Lazily(props: Props) {
    const [state, setState] = useState<"asked" | "there" | "failed">(Part ? "there" : "asked");
    useEffect(() => {
      if (state !== "asked") return;
      load().then(
        (one) => {
          Part = one;
          setState("there");
        },
        () => setState("failed"),
      );
    }, [state]);
    if (state === "failed") {
      const problem = {
        title: "This part of the page did not come",
        status: 0,
        detail: "Its code could not be fetched from the server.",
        nextSteps: ["Look whether wheelgram serve still runs, then try again."],
      };
      return <ProblemNote problem={problem} again={() => setState("asked")} />;
    }
    return Part ? <Part {...props} /> : <p class="waiting">Asking the server for this part of the page …</p>;
  };
}
