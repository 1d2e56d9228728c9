import type { JSX } from "preact";
import { type Frame, isUnread, neighbour, senderOf } from "../../model/recording/frames.ts";

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
  const sender = senderOf(chosen);
  const isSame = (one: Frame) => sender !== undefined && senderOf(one) === sender;
  const sameBefore = neighbour(frames, chosen.id, -1, isSame);
  const sameAfter = neighbour(frames, chosen.id, 1, isSame);
  const at = frames.findIndex(({ id }) => id === chosen.id) + 1;
  const button = (label: string, to: Frame | undefined) => (
    <button type="button" class="button small" disabled={!to} onClick={() => to && onChoose(to)}>
      {label}
    </button>
  );
  return (
    <div class="frame-steps">
      {button("Previous frame", before)}
      <span class="caption">{`${at} of ${frames.length}`}</span>
      {button("Next frame", after)}
      {unread && button("Next not read", unread)}
      {sender !== undefined && (sameBefore || sameAfter) && (
        <>
          {button("Previous of this sensor", sameBefore)}
          {button("Next of this sensor", sameAfter)}
        </>
      )}
      <button type="button" class="button small" onClick={onCloseUp}>
        Show it large
      </button>
    </div>
  );
}
