import { CARRIER_REACH_HZ } from "../../../decoders/layouts/carrierReach.ts";
import { figure, frequencyShown, inLine, offsetShown, signed } from "../quantities.ts";
import type { Held } from "./held.ts";

/** A frequency that something is meant to send on, and who says so. */
export interface Nominal {
  readonly hz: number;
  readonly basis: string;
}

/** How a carrier stands against the nearest frequency that it may be meant for. */
export interface CarrierVerdict {
  readonly nominal: Nominal;
  readonly offsetHz: number;
  readonly offsetPpm: number;
  /** `unknown`: no known frequency is near enough to be meant. */
  readonly verdict: "near" | "beyond 100 ppm" | "no rule" | "unknown";
  readonly strength: "as expected" | "look here";
  /** A sentence with the figures. */
  readonly says: string;
  /** What the verdict rests on, in sentences. */
  readonly basis: string;
}

/**
 * The frequency error that EN 300 220 allows wideband equipment (over 25 kHz, without channels).
 *
 * @source A chip maker's application note on an older edition (clauses 7.1 and 7.3): read in that second source only.
 */
const WIDEBAND_PPM = 100;

/** Those that an answer may be meant for: of the layouts on the shelf, and the usual ones. */
export function nominalsFor(
  held: Held,
  shelf: readonly { readonly title: string; readonly carrierHz: readonly number[] }[],
) {
  const ofShelf = [...new Set(shelf.flatMap(({ carrierHz }) => carrierHz))].map((hz) => {
    const layouts = shelf.filter(({ carrierHz }) => carrierHz.includes(hz));
    const whose = layouts.length === 1 ? `the layout “${layouts[0]?.title}”` : `${layouts.length} layouts on the shelf`;
    return { hz, basis: `carrier of ${whose}` };
  });
  const usual = held === "wheel sensor" ? USUAL : [...USUAL, ...USUAL_OF_KEYS];
  // What the shelf names is not named again.
  return [...ofShelf, ...usual.filter(({ hz }) => !ofShelf.some((one) => one.hz === hz))];
}

/** @source Filings and manuals of wheel sensors at 315 and 433.92 MHz; the second is the middle of 433.05 to 434.79 MHz. */
const USUAL: readonly Nominal[] = [
  { hz: 315e6, basis: "as filings and manuals of wheel sensors have it" },
  { hz: 433.92e6, basis: "as filings and manuals of wheel sensors have it; the middle of 433.05 to 434.79 MHz" },
];
const USUAL_OF_KEYS: readonly Nominal[] = [{ hz: 868.3e6, basis: "common practice, no source" }];

/** @throws RangeError without a nominal: the usual ones are always there. */
export function carrierVerdict(carrierHz: number, nominals: readonly Nominal[]): CarrierVerdict {
  const nominal = nominals.toSorted((a, b) => Math.abs(a.hz - carrierHz) - Math.abs(b.hz - carrierHz))[0];
  if (!nominal) throw new RangeError("a carrier needs a nominal to be held against");
  const offsetHz = carrierHz - nominal.hz;
  const offsetPpm = (offsetHz / nominal.hz) * 1e6;
  const verdict = verdictOf(nominal.hz, offsetHz, offsetPpm);
  const measured = inLine(frequencyShown(carrierHz, 4));
  const meant = `${inLine(frequencyShown(nominal.hz))} (${nominal.basis})`;
  return {
    nominal,
    offsetHz,
    offsetPpm,
    verdict,
    strength: verdict === "near" || verdict === "no rule" ? "as expected" : "look here",
    says:
      verdict === "unknown"
        ? `${measured}: no frequency that we know of is within 100\u202fkHz. The nearest is ${meant}.`
        : `${measured}, ${offsetWords(offsetHz, offsetPpm)} of ${meant}.`,
    basis: BASIS[verdict],
  };
}

/** `+5.4 kHz or +12.4 ppm`. */
export function offsetWords(offsetHz: number, offsetPpm: number): string {
  const hz = Math.abs(offsetHz) < 1000 ? `${signed(offsetHz, 0)}\u202fHz` : inLine(offsetShown(offsetHz));
  return `${hz} or ${signed(offsetPpm, 1)}\u202fppm`;
}

function verdictOf(nominalHz: number, offsetHz: number, offsetPpm: number): CarrierVerdict["verdict"] {
  if (Math.abs(offsetHz) > CARRIER_REACH_HZ) return "unknown";
  // The European rule is for European bands; 315 MHz is none.
  if (nominalHz < 433.05e6) return "no rule";
  return Math.abs(offsetPpm) <= WIDEBAND_PPM ? "near" : "beyond 100 ppm";
}

const OWN_ERROR = "The error of the receiver's own clock is in the figure, and is not known. Indicative only.";
const NO_US_RULE =
  "47 CFR 15.231 sets no frequency tolerance here: its ±0.01 % is for 40.66 to 40.70 MHz alone. The emission has to stay within its bandwidth instead.";
const EUROPE = `EN 300 220 allows wideband equipment ±${figure(WIDEBAND_PPM, 0)} ppm (read in a second source, of an older edition).`;

const BASIS: Readonly<Record<CarrierVerdict["verdict"], string>> = {
  near: `Within reach of our layouts, ±100 kHz. ${EUROPE} This one is within. ${NO_US_RULE} ${OWN_ERROR}`,
  "beyond 100 ppm": `Within reach of our layouts, ±100 kHz. ${EUROPE} This one is beyond, if it is meant for that frequency and that rule holds for it. ${NO_US_RULE} ${OWN_ERROR}`,
  "no rule": `Within reach of our layouts, ±100 kHz. ${NO_US_RULE} ${OWN_ERROR}`,
  unknown: `Beyond the reach of our layouts, ±100 kHz, so no layout is tried on it. It may be meant for another frequency, or be another transmitter. ${OWN_ERROR}`,
};
