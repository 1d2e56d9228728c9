import type { StoredRecording } from "../store/store.ts";
import { type AskedBand, bandIn, cutOf, fromCentre, type SampleRange, tunedAt } from "./cuts.ts";
import type { House } from "./house.ts";
import type { SignalBody } from "./wire.ts";

/** Most samples whose frequency is looked at for one picture. */
export const MOST_FREQUENCY_SAMPLES = 2 ** 20;
/** Looked at on both sides, so that the band's filter has come to rest. */
const MARGIN_SAMPLES = 2048;

type Frequency = Pick<SignalBody, "lowestHz" | "highestHz" | "frequencyBecause">;

/** Least and most frequency of every column of a stretch. */
export async function signalFrequency(
  { folder, pool }: Pick<House, "folder" | "pool">,
  recording: StoredRecording,
  range: SampleRange,
  columns: number,
  asked: AskedBand,
): Promise<Frequency> {
  const most = MOST_FREQUENCY_SAMPLES;
  if (range.toSample - range.fromSample > most) {
    const seconds = Number((most / recording.sampleRateHz).toPrecision(3));
    return nothing(`The frequency is shown for ${most} samples at most. Look at ${seconds} s or less.`);
  }
  const tuned = tunedAt(recording, range.fromSample);
  if (range.toSample > tuned.toSample) {
    return nothing("The receiver was tuned anew within this stretch. Look at the time before or after that.");
  }
  const cut = cutOf(folder, recording, range, MARGIN_SAMPLES);
  const band = fromCentre(cut, bandIn(cut, asked, undefined));
  const found = await pool.measure({ kind: "frequency", cut, band, ...range, columns });
  const atRf = (hz: number | undefined) => (hz === undefined ? null : Math.round(hz + (cut.centreHz ?? 0)));
  return { lowestHz: found.lowestHz.map(atRf), highestHz: found.highestHz.map(atRf), frequencyBecause: null };
}

function nothing(because: string): Frequency {
  return { lowestHz: null, highestHz: null, frequencyBecause: because };
}
