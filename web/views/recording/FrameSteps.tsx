import type { JSX } from "preact";
import { type Frame, isUnread, neighbour } from "../../model/recording/frames.ts";

interface FrameStepsProps {
  readonly frames: readonly Frame[];
  readonly chosen: Frame;
  readonly onChoose: (frame: Frame) => void;
  /** Shows the chosen frame as large as it goes. */
  readonly onCloseUp: () => void;
}

/** From the chosen frame to others. */
export function FrameSteps({ frames, chosen, onChoose, onCloseUp }: FrameStepsProps): JSX.Element {
  const before = neighbour(frames, chosen.id, -1);
  const after = neighbour(frames, chosen.id, 1);
  const unread = neighbour(frames, chosen.id, 1, isUnread) ?? frames.find((one) => isUnread(one) && one !== chosen);
  const at = frames.findIndex(({ id }) => id === chosen.id) + 1;
  const go = (frame: Frame | undefined) => frame && onChoose(frame);
  return (
    <div class="frame-steps">
      <button type="button" class="button small" disabled={!before} onClick={() => go(before)}>
        Previous frame
      </button>
      <span class="caption">{`${at} of ${frames.length}`}</span>
      <button type="button" class="button small" disabled={!after} onClick={() => go(after)}>
        Next frame
      </button>
      {unread && (
        <button type="button" class="button small" onClick={() => go(unread)}>
          Next not read
        </button>
      )}
      <button type="button" class="button small" onClick={onCloseUp}>
        Show it large
      </button>
    </div>
  );
}
