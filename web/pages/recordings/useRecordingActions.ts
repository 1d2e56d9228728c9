import type { SpectrumBody } from "../../../server/http/wire.ts";
import { useActions } from "../../actionsHere.ts";
import type { FrameLine } from "../../model/recording/frameLines.ts";
import { type Frame, isUnread, neighbour, senderOf } from "../../model/recording/frames.ts";
import { ORDERS } from "../../model/recording/lineOrder.ts";
import { type Bounds, isWhole } from "../../model/recording/range.ts";
import { rangeByAction } from "../../model/recording/rangeKeys.ts";
import type { LevelUnit } from "../../model/recording/signalDrawing.ts";
import type { Asked } from "../../views/recording/useAsked.ts";
import type { ViewHere } from "../../views/recording/useRecordingView.ts";
import type { Marking } from "./useMarking.ts";

interface RecordingActions {
  readonly history: ViewHere;
  readonly bounds: Bounds;
  readonly frames: readonly Frame[];
  readonly chosen: Frame | undefined;
  /** In the order of the page, hidden ones among them. */
  readonly lines: readonly FrameLine[];
  readonly marking: Marking;
  readonly spectrum: Asked<SpectrumBody>;
  readonly unit: LevelUnit;
  readonly onUnit: (unit: LevelUnit) => void;
  readonly onChoose: (frame: Frame) => void;
  readonly onLarge: (() => void) | undefined;
  readonly onSamples: (() => void) | undefined;
}

/** What a recording's page does when it is asked by a key in a band, or from the palette. */
export function useRecordingActions(page: RecordingActions): void {
  const { history, bounds, frames, chosen, lines, marking, spectrum, unit, onUnit, onChoose, onLarge, onSamples } =
    page;
  const { view, canGoBack, canGoForward, setRange, goBack, goForward, change } = history;
  const { range } = view;
  const whole = isWhole(range, bounds);
  const isSeen = (seconds: number) => seconds >= range.fromSeconds && seconds <= range.toSeconds;
  // Where the band itself says that it stands.
  const isPointed = view.cursorSeconds !== undefined && isSeen(view.cursorSeconds);
  const at = isPointed ? (view.cursorSeconds ?? 0) : (range.fromSeconds + range.toSeconds) / 2;
  const around = [view.cursorSeconds, chosen?.fromSeconds].find((one) => one !== undefined && isSeen(one));
  const changed = (action: string, enabled: boolean) => {
    if (!enabled) return undefined;
    return () => {
      const next = rangeByAction(action, range, bounds, around);
      if (next !== undefined && next !== "back") setRange(next);
    };
  };
  const to = (frame: Frame | undefined) =>
    frame === undefined || frame === chosen ? undefined : () => onChoose(frame);
  const step = (by: -1 | 1, fits?: (frame: Frame) => boolean) => chosen && neighbour(frames, chosen.id, by, fits);
  const sender = chosen && senderOf(chosen);
  const isSame = (frame: Frame) => sender !== undefined && senderOf(frame) === sender;
  const unread = step(1, isUnread) ?? frames.find((frame) => isUnread(frame) && frame !== chosen);
  const lineOfChosen = lines.find((line) => line.frames.some((frame) => frame === chosen));
  useActions({
    "range.closer": changed("range.closer", range.toSeconds - range.fromSeconds > bounds.leastSeconds * (1 + 1e-6)),
    "range.wider": changed("range.wider", !whole),
    "range.left": changed("range.left", range.fromSeconds > 0),
    "range.right": changed("range.right", range.toSeconds < bounds.seconds),
    "range.whole": changed("range.whole", !whole),
    "range.back": canGoBack ? goBack : undefined,
    "range.forward": canGoForward ? goForward : undefined,
    "frame.next": to(step(1)),
    "frame.previous": to(step(-1)),
    "frame.nextUnread": to(unread),
    "frame.nextSame": to(step(1, isSame)),
    "frame.previousSame": to(step(-1, isSame)),
    "frame.large": onLarge,
    "value.samples": onSamples,
    "mark.a": () => marking.onMark("A", at),
    "mark.b": () => marking.onMark("B", at),
    "mark.snap": () => marking.onSnaps(!marking.snaps),
    "signal.share": () => onUnit(unit === "share" ? "dBFS" : "share"),
    "signal.frequency": chosen && (() => change({ frequency: !view.frequency })),
    "signal.spectrum": chosen && (() => spectrum.ask(!spectrum.asked)),
    "lines.order": () => {
      const next = ORDERS[(ORDERS.indexOf(view.order) + 1) % ORDERS.length] ?? "first heard";
      change({ order: next, lines: next === "by hand" ? lines.map(({ key }) => key) : [] });
    },
    "lines.hide":
      lineOfChosen && !view.hiddenLines.includes(lineOfChosen.key)
        ? () => change({ hiddenLines: [...view.hiddenLines, lineOfChosen.key] })
        : undefined,
    "lines.show": view.hiddenLines.length > 0 ? () => change({ hiddenLines: [] }) : undefined,
  });
}
