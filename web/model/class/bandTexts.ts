import { leastSilenceSeconds, mostOnShare } from "../../../decoders/measures/dutyRules.ts";

// What the page tells beside its figures. Each source says how sure it is: read, read at second hand, or from memory.

/** A text in short sentences, and where it comes from. */
export interface BandText {
  readonly says: readonly string[];
  readonly sources: readonly string[];
}

export const DEAF: BandText = {
  says: [
    "A receiver takes in a narrow piece of the spectrum. A filter keeps out the rest.",
    "Its antenna is cut for one band as well: a quarter wave is 238 mm long at 315.00 MHz and 173 mm at 433.92 MHz.",
    "So a sensor for the other band may be as loud as it likes. Nothing of it comes through, and no decoder can help.",
    "What stays the same is all the rest: the bits, the line code, the check. Only the carrier differs.",
    "In the bay: where nothing is heard, ask first which band the part is made for. Its label or the maker’s list says so.",
  ],
  sources: [
    "Lengths follow from the speed of light, 299 792 458 m/s.",
    "Which part has which band: common practice, no source.",
  ],
};

export const REGIONS: BandText = {
  says: [
    "Each country says who may use which part of the spectrum. No two bands for small senders grew up alike.",
    "315 MHz is usual in North America, Japan, Korea and some more. 433.92 MHz is usual in Europe and most other places, and grows in North America.",
    "433.92 MHz is the middle of the band from 433.05 to 434.79 MHz. Europe allows 10 mW e.r.p. there, on for less than 10 % of an hour.",
    "In the US a field strength is allowed, not a power. It rises with the frequency, so 433.92 MHz may send 5.2 dB more than 315.00 MHz.",
    "A car that was brought from another region keeps its band. Its new sensors must fit the car, not the country.",
  ],
  sources: [
    "47 CFR 15.231: text read; the ends of its table are from memory, and what follows agrees with two printed figures.",
    "ERC/REC 70-03, Annex 1, band f: read at second hand.",
    "Usual regions: common practice, no source; both bands were seen in filings under 47 CFR.",
  ],
};

export const DUTY: BandText = {
  says: [
    "Many senders share a band. So each may speak only for a short time, and then has to be silent.",
    "In the US a periodic sender may send for 1 s at most. Then it is silent for 30 times as long, and at least 10 s.",
    "In Europe a 10 mW sender at 433.92 MHz is on for less than 10 % of any hour: 360 s.",
    "That is why a parked sensor is silent for minutes, and why you wait or wake it.",
  ],
  sources: [
    "47 CFR 15.231(e): the first part read, the last sentence read at second hand.",
    "ERC/REC 70-03, Annex 1, band f: read at second hand; that the hour is what counts is from memory.",
  ],
};

/** Stands above all of it. */
export const BAND_CAUTION =
  "This page sends nothing. Its figures are no permit: put no sender on the air because of them. What holds where you are is said by the local authority; approval is for an accredited laboratory.";

/** What is left out of the formulas. */
export const LEFT_OUT: readonly string[] = [
  "Rim, tyre and body are one figure of loss that you set. Really they change with each turn of the wheel.",
  "The loop is a circle of 1 mm copper wire. Its tuning capacitor loses more; that is left out.",
  "Ground is flat, and the wave that it gives back has its sign turned. Walls and other cars are left out.",
  "The interferer counts as noise in the formulas. In the recording it is a real carrier; the decoder may bear it better or worse.",
];

export interface DutyRow {
  readonly onSeconds: number;
  readonly silentSeconds: number;
  /** Share of the time, at most. */
  readonly share: number;
}

/** The US rule for some lengths of a transmission. */
export function dutyRows(): readonly DutyRow[] {
  return [0.08, 0.3, 0.5, 1].map((onSeconds) => ({
    onSeconds,
    silentSeconds: leastSilenceSeconds(onSeconds),
    share: mostOnShare(onSeconds),
  }));
}
