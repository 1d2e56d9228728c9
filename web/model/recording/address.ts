import { type LineOrder, ORDERS } from "./lineOrder.ts";
import { type Mark, withMark } from "./marks.ts";
import { type Bounds, between, decimalsFor, isWhole, type TimeRange, wholeRange } from "./range.ts";

/** What of a recording is looked at: it stands in the address, so that it can be kept and sent on. */
export interface RecordingView {
  readonly range: TimeRange;
  /** The chosen frame, as in `sel=frame.4`: the index of its burst, then, of a burst with several, which one. */
  readonly frame: string | undefined;
  /** First bit of the chosen field of that frame; `undefined` for its first field. */
  readonly field: number | undefined;
  /** The moment that all bands point at, in seconds. */
  readonly cursorSeconds: number | undefined;
  readonly marks: readonly Mark[];
  readonly order: LineOrder;
  /** Keys of the lines in their order, where it was made by hand. */
  readonly lines: readonly string[];
  /** Keys of lines that are not shown. */
  readonly hiddenLines: readonly string[];
  /** Names of bands that are folded away. */
  readonly hiddenBands: readonly string[];
  /** What is searched. */
  readonly find: string;
  /** Whether the frequency stands below the level. */
  readonly frequency: boolean;
}

/** The view that a recording opens with. */
export function firstView(bounds: Bounds): RecordingView {
  return {
    range: wholeRange(bounds),
    frame: undefined,
    field: undefined,
    cursorSeconds: undefined,
    marks: [],
    order: "first heard",
    lines: [],
    hiddenLines: [],
    hiddenBands: [],
    find: "",
    frequency: false,
  };
}

/**
 * The view of an address such as `?v=2&t=12.4030s..12.4310s&sel=frame.4&at=12.4100s`. What cannot be read there is left
 * as it is at first. Addresses of every version that there ever was are read.
 */
export function viewOf(search: string, bounds: Bounds): RecordingView {
  const first = firstView(bounds);
  const query = newest(new URLSearchParams(search));
  if (query === undefined) return first;
  const chosen = /^frame\.([0-9]+(?:\.[0-9]+)?)(?:\.bit([0-9]+))?$/.exec(query.get("sel") ?? "");
  const at = momentOf(query.get("at"), bounds);
  const order = ORDERS.find((one) => slug(one) === query.get("order")) ?? first.order;
  return {
    range: rangeOf(query.get("t"), bounds),
    frame: chosen?.[1],
    field: chosen?.[2] === undefined ? undefined : Number(chosen[2]),
    cursorSeconds: at,
    marks: query
      .getAll("mark")
      .flatMap((text) => markOf(text, bounds))
      .reduce<readonly Mark[]>((marks, { name, atSeconds }) => withMark(marks, name, atSeconds, bounds), []),
    order,
    lines: query.getAll("line"),
    hiddenLines: query.getAll("without-line"),
    hiddenBands: query.getAll("without"),
    find: (query.get("find") ?? "").slice(0, MOST_FIND),
    frequency: query.get("frequency") === "shown",
  };
}

/** The query of a view; empty for the one that a recording opens with. */
export function searchOf(view: RecordingView, bounds: Bounds): string {
  const { range, frame, field, cursorSeconds, marks, order } = view;
  // Fine enough that a thousandth of what is shown is told apart.
  const decimals = Math.max(4, decimalsFor((range.toSeconds - range.fromSeconds) / 1000));
  const query = new URLSearchParams();
  if (!isWhole(range, bounds)) {
    query.append("t", `${range.fromSeconds.toFixed(decimals)}s..${range.toSeconds.toFixed(decimals)}s`);
  }
  if (frame !== undefined) query.append("sel", `frame.${frame}${field === undefined ? "" : `.bit${field}`}`);
  if (cursorSeconds !== undefined) query.append("at", secondsText(cursorSeconds));
  for (const mark of marks) query.append("mark", `${mark.name}@${secondsText(mark.atSeconds)}`);
  if (order !== "first heard") query.append("order", slug(order));
  if (order === "by hand") for (const key of view.lines) query.append("line", key);
  for (const key of view.hiddenLines) query.append("without-line", key);
  for (const name of view.hiddenBands) query.append("without", name);
  if (view.find !== "") query.append("find", view.find);
  if (view.frequency) query.append("frequency", "shown");
  const text = query.toString().replaceAll("%40", "@");
  return text === "" ? "" : `?v=${VERSION}&${text}`;
}

const VERSION = "2";
const MOST_FIND = 200;

/** From the query of each version that of the next one. */
const UPGRADES: Readonly<Record<string, (query: URLSearchParams) => void>> = {
  // The first one knew `t` and `sel` alone, as they are today.
  1: (query) => query.set("v", "2"),
};

/** `undefined` for an address without a version, or of one that is still to come. */
function newest(query: URLSearchParams): URLSearchParams | undefined {
  for (;;) {
    const version = query.get("v") ?? "";
    if (version === VERSION) return query;
    const upgrade = Object.hasOwn(UPGRADES, version) ? UPGRADES[version] : undefined;
    if (!upgrade) return undefined;
    upgrade(query);
  }
}

function rangeOf(text: string | null, bounds: Bounds): TimeRange {
  const match = /^([0-9]+(?:\.[0-9]+)?)s\.\.([0-9]+(?:\.[0-9]+)?)s$/.exec(text ?? "");
  if (!match) return wholeRange(bounds);
  const [from, to] = [Number(match[1]), Number(match[2])];
  return from < bounds.seconds && to > from ? between(from, to, bounds) : wholeRange(bounds);
}

function markOf(text: string, bounds: Bounds): Mark[] {
  const at = text.lastIndexOf("@");
  const atSeconds = momentOf(text.slice(at + 1), bounds);
  const name = text.slice(0, at);
  return at > 0 && atSeconds !== undefined ? [{ name, atSeconds }] : [];
}

/** `undefined` beyond the recording's end, which its own rounding may pass by half a step. */
function momentOf(text: string | null, { seconds }: Bounds): number | undefined {
  const match = /^([0-9]+(?:\.[0-9]+)?)s$/.exec(text ?? "");
  const at = match ? Number(match[1]) : Number.NaN;
  return at <= seconds + 1e-8 ? Math.min(at, seconds) : undefined;
}

/** To a hundredth of a microsecond: a tenth of a sample of the fastest receivers. */
function secondsText(seconds: number): string {
  return `${seconds.toFixed(8).replace(/0{1,4}$/, "")}s`;
}

function slug(words: string): string {
  return words.replaceAll(" ", "-");
}
