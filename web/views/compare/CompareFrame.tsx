import type { JSX } from "preact";
import { MOST_PICKS } from "../../model/compare/address.ts";
import { isOnTray } from "../../model/compare/tray.ts";
import type { Frame } from "../../model/recording/frames.ts";
import { frameWords } from "../../model/recording/frameWords.ts";
import { useToCompare } from "../../toCompare.ts";
import { ToCompare } from "./ToCompare.tsx";

interface CompareFrameProps {
  readonly hash: string;
  /** Of the recording. */
  readonly name: string;
  readonly frame: Frame;
}

/** Puts the chosen frame aside to be compared, and shows what else is there. */
export function CompareFrame({ hash, name, frame }: CompareFrameProps): JSX.Element {
  const { tray, toggle } = useToCompare();
  const entry = { hash, frame: frame.id, words: `${name} ${frameWords(frame)}` };
  const isOn = isOnTray(tray, entry);
  return (
    <div class="compare-frame">
      <button
        type="button"
        class="button small"
        disabled={!isOn && tray.length >= MOST_PICKS}
        onClick={() => toggle(entry)}
      >
        {isOn ? "Take this frame off the comparison" : "Compare this frame with another"}
      </button>
      <ToCompare />
    </div>
  );
}
