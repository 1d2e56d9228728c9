import { useMemo } from "preact/hooks";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import { copySeconds, frameSeconds } from "../../../decoders/measures/frameSeconds.ts";
import type {
  BurstSymbolsBody,
  MeasuresBody,
  RecordingBody,
  SpectrumBody,
  TimingBody,
} from "../../../server/http/wire.ts";
import { measuresOf, spectrumOf, symbolsOf, timingOf } from "../../calls/measures.ts";
import type { RecordingView } from "../../model/recording/address.ts";
import { cursorWords } from "../../model/recording/cursorWords.ts";
import { type FrameBits, frameBits } from "../../model/recording/frameBits.ts";
import { type FrameStretch, frameStretches } from "../../model/recording/frameStretches.ts";
import { type Frame, senderOf } from "../../model/recording/frames.ts";
import { bitAt, bitConfidences, type FrameTiming, timeOfBits } from "../../model/recording/frameTiming.ts";
import type { TimeRange } from "../../model/recording/range.ts";
import { timingFrom } from "../../model/recording/timingFrom.ts";
import type { Settings } from "../../model/settings.ts";
import { type Asked, useAsked } from "../../views/recording/useAsked.ts";

/** All that is known of the chosen frame, from its values down to its samples. */
export interface ChosenFrame {
  readonly found: FrameBits | undefined;
  readonly stretches: readonly FrameStretch[];
  /** The chosen one of them, and when its bits were sent. */
  readonly field: FrameStretch | undefined;
  readonly fieldTime: TimeRange | undefined;
  readonly timing: FrameTiming | undefined;
  readonly confidences: readonly number[];
  readonly cursorBit: number | undefined;
  readonly cursorSays: string | undefined;
  readonly measures: Asked<MeasuresBody>;
  readonly spectrum: Asked<SpectrumBody>;
  readonly howOften: Asked<TimingBody>;
}

const SPECTRUM_LINES = 512;
const LEAST_LINES = 16;

export function useChosenFrame(
  { hash, sampleRateHz, seconds }: RecordingBody,
  chosen: Frame | undefined,
  layoutOf: (id: string) => Layout | undefined,
  { field: firstBit, cursorSeconds }: RecordingView,
  settings: Settings,
): ChosenFrame {
  const found = useMemo(() => chosen && frameBits(chosen, layoutOf), [chosen, layoutOf]);
  const stretches = useMemo(
    () =>
      found && (found.source === "telegram" || found.source === "read again") ? frameStretches(found, settings) : [],
    [found, settings],
  );
  const isIn = (bit: number, { stretch: { at, bits } }: FrameStretch) => bit >= at && bit < at + bits;
  const field = (firstBit === undefined ? undefined : stretches.find((one) => isIn(firstBit, one))) ?? stretches[0];

  const burst = chosen?.burst.index;
  const ofBurst = burst === undefined ? undefined : `${hash} ${burst}`;
  const stretch = chosen ?? { fromSeconds: 0, toSeconds: seconds };
  const symbols = useAsked<BurstSymbolsBody>(
    chosen && `${hash} ${chosen.id}`,
    () => symbolsOf(hash, burst ?? 0, chosen && insideCopy(chosen, layoutOf)),
    true,
  );
  const measures = useAsked(ofBurst, () => measuresOf(hash, stretch, burst), true);
  const samples = (stretch.toSeconds - stretch.fromSeconds) * sampleRateHz;
  const spectrum = useAsked(ofBurst, () => spectrumOf(hash, stretch, linesFor(samples)), false);
  const sender = chosen && senderOf(chosen);
  const howOften = useAsked(sender && `${hash} ${sender}`, () => timingOf(hash, sender), true);

  const timing = useMemo(() => timingFrom(symbols.value, sampleRateHz), [symbols.value, sampleRateHz]);
  const confidences = useMemo(() => (timing && found ? bitConfidences(timing, found) : []), [timing, found]);
  const fieldTime = useMemo(
    () => (field && timing ? timeOfBits(timing, field.stretch.at, field.stretch.bits) : undefined),
    [field, timing],
  );
  const isPointed = timing !== undefined && found !== undefined && cursorSeconds !== undefined;
  const cursorBit = isPointed ? bitAt(timing, found, cursorSeconds) : undefined;
  const cursorSays = isPointed
    ? cursorWords(timing, found, stretches, cursorBit, cursorSeconds, sampleRateHz)
    : undefined;
  return useMemo(
    () => ({
      found,
      stretches,
      field,
      fieldTime,
      timing,
      confidences,
      cursorBit,
      cursorSays,
      measures,
      spectrum,
      howOften,
    }),
    [found, stretches, field, fieldTime, timing, confidences, cursorBit, cursorSays, measures, spectrum, howOften],
  );
}

/** A moment within the telegram of a frame: its burst may hold that of another sender too. */
function insideCopy({ burst, telegram }: Frame, layoutOf: (id: string) => Layout | undefined): number | undefined {
  const layout = telegram && layoutOf(telegram.telegram.layout);
  if (!layout) return undefined;
  const seconds = frameSeconds(layout, burst);
  return Math.max(0, copySeconds(telegram.telegram, burst, layout, seconds) + seconds / 2);
}

/** A power of two, and no more lines than there are samples to make them of. */
function linesFor(samples: number): number {
  return Math.max(LEAST_LINES, Math.min(SPECTRUM_LINES, 2 ** Math.floor(Math.log2(Math.max(1, samples)))));
}
