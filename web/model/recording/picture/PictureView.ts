import type { RecordingBody, SignalBody } from "../../../../server/http/wire.ts";
import type { Settings } from "../../settings.ts";
import type { FrameBits } from "../frameBits.ts";
import type { FrameLine } from "../frameLines.ts";
import type { Frame } from "../frames.ts";
import type { TimeRange } from "../range.ts";
import type { LevelUnit } from "../signalDrawing.ts";

/** What a picture of a recording's page shows: everything as the page has it at that moment. */
export interface PictureView {
  /** Whose name, content hash, sample rate and length stand below the picture. */
  readonly recording: Pick<RecordingBody, "name" | "hash" | "sampleRateHz" | "seconds">;
  /** The sentence on top: what came of the recording. */
  readonly answer: string;
  /** The stretch that signal and frame lines show. */
  readonly range: TimeRange;
  /** All frames of the recording, for the ticks of the overview. */
  readonly frames: readonly Frame[];
  /** The lines that are shown, in the order of the page; hidden ones are left out. */
  readonly lines: readonly FrameLine[];
  /** Its span is marked in the signal, its block on its line, and its bits are shown. */
  readonly chosen: Frame | undefined;
  /** The bits of `chosen`. */
  readonly found: FrameBits | undefined;
  /** The level of the whole recording: it gives the overview, and the axis of the signal. */
  readonly whole: SignalBody | undefined;
  /** The level of `range`, finer; while it is on its way `whole` stands in. */
  readonly near: SignalBody | undefined;
  readonly levelUnit: LevelUnit;
  /** Drawn below the level, where it is asked for. */
  readonly frequency?: FrequencyColumns | undefined;
  /** The one time that goes through all bands. */
  readonly cursorSeconds?: number | undefined;
  /** Marks and notes in any order; those outside of `range` are left out. */
  readonly marks?: readonly PictureMark[] | undefined;
  /** Units of pressures and temperatures. */
  readonly units: Pick<Settings, "pressure" | "temperature">;
}

/** Least and most frequency in the band, column by column; a column of noise has none. */
export interface FrequencyColumns extends TimeRange {
  readonly columns: number;
  readonly lowestHz: readonly (number | null)[];
  readonly highestHz: readonly (number | null)[];
}

/** A named moment or stretch. */
export interface PictureMark extends TimeRange {
  /** A letter or a few words, drawn at its place. */
  readonly name: string;
  /** More of it, written below the bands; empty for nothing. */
  readonly words: string;
}

/** Where a picture comes from. */
export interface PictureSource {
  /** Of Wheelgram, such as `0.1.0`. */
  readonly version: string;
  /** Opens this view again. */
  readonly link: string;
}
