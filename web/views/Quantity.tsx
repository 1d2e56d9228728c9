import type { JSX } from "preact";
import type { Shown } from "../model/quantities.ts";

/** The figure large, its unit small. */
export function Quantity({ shown }: { readonly shown: Shown }): JSX.Element {
  return (
    <span class="quantity">
      {shown.figure}
      <span class="unit">{`\u202f${shown.unit}`}</span>
    </span>
  );
}
