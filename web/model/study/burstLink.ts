import type { StudyBurstBody } from "../../../server/http/wire/studies.ts";
import { firstView, searchOf } from "../recording/address.ts";
import { between } from "../recording/range.ts";

/** Of what is shown around a burst, on each side: as much as it lasts itself, and this at least. */
const LEAST_MARGIN_SECONDS = 0.005;

type Placed = Pick<StudyBurstBody, "recordingHash" | "frame" | "atSeconds" | "durationSeconds">;

/**
 * The address of the exact frame on its recording's page; `undefined` where the recording is not in this house. Where the
 * house has no such frame, the moment is pointed at.
 */
export function frameAddress({ recordingHash, frame, atSeconds, durationSeconds }: Placed): string | undefined {
  if (recordingHash === null) return undefined;
  const margin = Math.max(LEAST_MARGIN_SECONDS, durationSeconds);
  const endSeconds = atSeconds + durationSeconds;
  // How long the recording is does not stand here; its page cuts what lies beyond its end.
  const bounds = { seconds: endSeconds + 2 * margin, leastSeconds: 0 };
  const view = {
    ...firstView(bounds),
    range: between(Math.max(0, atSeconds - margin), endSeconds + margin, bounds),
    frame: frame === null ? undefined : String(frame),
    cursorSeconds: frame === null ? atSeconds : undefined,
  };
  return `/recordings/${encodeURIComponent(recordingHash)}${searchOf(view, bounds)}`;
}
