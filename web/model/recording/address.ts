import { type Bounds, between, decimalsFor, isWhole, type TimeRange, wholeRange } from "./range.ts";

/** What of a recording is looked at: it stands in the address, so that it can be kept and sent on. */
export interface RecordingView {
  readonly range: TimeRange;
  /** The chosen frame, as in `sel=frame.4`: the index of its burst, then, of a burst with several, which one. */
  readonly frame: string | undefined;
}

/**
 * The view of an address such as `?v=1&t=12.4030s..12.4310s&sel=frame.4`. What cannot be read there is left as it is at
 * first: all of the recording, nothing chosen.
 */
export function viewOf(search: string, bounds: Bounds): RecordingView {
  const query = new URLSearchParams(search);
  const frame = /^frame\.([0-9]+(?:\.[0-9]+)?)$/.exec(query.get("sel") ?? "")?.[1];
  if (query.get("v") !== VERSION) return { range: wholeRange(bounds), frame: undefined };
  return { range: rangeOf(query.get("t"), bounds), frame };
}

/** The query of a view; empty for the one that a recording opens with. */
export function searchOf({ range, frame }: RecordingView, bounds: Bounds): string {
  const parts: string[] = [];
  if (!isWhole(range, bounds)) {
    // Fine enough that a thousandth of what is shown is told apart.
    const decimals = Math.max(4, decimalsFor((range.toSeconds - range.fromSeconds) / 1000));
    parts.push(`t=${range.fromSeconds.toFixed(decimals)}s..${range.toSeconds.toFixed(decimals)}s`);
  }
  if (frame !== undefined) parts.push(`sel=frame.${frame}`);
  return parts.length === 0 ? "" : `?v=${VERSION}&${parts.join("&")}`;
}

const VERSION = "1";

function rangeOf(text: string | null, bounds: Bounds): TimeRange {
  const match = /^([0-9]+(?:\.[0-9]+)?)s\.\.([0-9]+(?:\.[0-9]+)?)s$/.exec(text ?? "");
  if (!match) return wholeRange(bounds);
  const [from, to] = [Number(match[1]), Number(match[2])];
  return from < bounds.seconds && to > from ? between(from, to, bounds) : wholeRange(bounds);
}
