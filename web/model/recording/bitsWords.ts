import { counted } from "../quantities.ts";
import type { FrameBits } from "./frameBits.ts";
import type { Frame } from "./frames.ts";
import { chosenWords } from "./frameWords.ts";

/** What the bits of the chosen frame are, in a sentence. */
export function bitsHeading(frame: Frame, found: FrameBits): string {
  return `${chosenWords(frame)}. ${whatWords(found)}`;
}

/** What somebody has to know before believing them. */
export function bitsNotes(found: FrameBits): string[] {
  if (found.source !== "read again") return [];
  const { layout, missingBits, brokenAt } = found;
  const shown = brokenAt.slice(0, 8).join(", ");
  const broken =
    brokenAt.length === 0 ? [] : [`line code broken at ${brokenAt.length === 1 ? "bit" : "bits"} ${shown}`];
  const more = brokenAt.length > 8 ? [`and ${brokenAt.length - 8} more`] : [];
  const cut = missingBits === 0 ? [] : [`${counted(missingBits, "bit")} cut off`];
  return [`nothing proves these bits: read as ${layout.id}`, [...broken, ...more, ...cut].join(", ")].filter(
    (note) => note !== "",
  );
}

function whatWords(found: FrameBits): string {
  switch (found.source) {
    case "telegram":
      return `Its ${found.bits.length} bits, as ${found.layout.id} reads them`;
    case "read again":
      return `What ${found.layout.id} would make of it`;
    case "bare telegram":
      return `Its ${found.bits.length} bits; the layout ${found.layoutId} that read them is no longer on the shelf`;
    case "symbols":
      return `Its ${found.bits.length} symbols as they were cut; no layout makes a frame of them`;
    case "nothing":
      return "It could not be cut into symbols";
  }
}
