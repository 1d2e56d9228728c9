import type { Bounds, TimeRange } from "../../model/recording/range.ts";
import type { Pointed } from "./TimePointers.tsx";

/** What every drawing of a stretch of the recording is told, and how it says that another one is to be shown. */
export interface RangeProps extends Pointed {
  readonly bounds: Bounds;
  readonly range: TimeRange;
  readonly widthPx: number;
  readonly onRange: (range: TimeRange) => void;
  readonly onBack: () => void;
  /** Points all bands at a moment. */
  readonly onCursor: (atSeconds: number) => void;
}
