import {
  COPPER_S_PER_M,
  circlePerimeterM,
  efficiency,
  loopRadiationOhm,
  QUARTER_WAVE_GAIN_DB,
  SMALL_LOOP_DIRECTIVITY,
  wireLossOhm,
} from "./antennas.ts";
import { type Apart, apart, ebN0OfSnr, receiverNoiseDbm, together } from "./noise.ts";
import { type Theory, theoryOf } from "./noncoherent.ts";
import { freeSpaceLossDb, twoRayLossDb } from "./pathLoss.ts";
import { europeLimitEirpDbm, usLimitEirpDbm } from "./senderLimits.ts";
import { KEYINGS, type KeyingName } from "./telegram.ts";

/** The two bands of the trade, by the names that a setting has for them. */
export const BANDS = { "315": 315e6, "433": 433.92e6 } as const;
export const BAND_NAMES = ["315", "433"] as const;
export type BandName = (typeof BAND_NAMES)[number];

export const ANTENNAS = ["loop", "quarter-wave", "isotropic"] as const;
export const RECEIVING_ANTENNAS = ["isotropic", "quarter-wave"] as const;
export const PATHS = ["free-space", "two-rays"] as const;
export const POWERS = ["us-periodic", "us-button", "europe", "own"] as const;
export const TUNINGS = ["own", ...BAND_NAMES] as const;
export const INTERFERERS = ["none", ...BAND_NAMES, "both"] as const;

/** Numbers that a link is set by, each with the least and the most that is taken. */
export const LINK_RANGES = {
  distanceM: [0.3, 5000],
  moreLossDb: [0, 60],
  sensorHeightM: [0.05, 5],
  receiverHeightM: [0.05, 20],
  reflection: [-1, 0],
  loopAreaMm2: [10, 2000],
  ownDbm: [-40, 20],
  noiseFigureDb: [0, 30],
  bandwidthKhz: [75, 1000],
  interfererDbm: [-130, -60],
  interfererOffsetKhz: [-100, 100],
} as const satisfies Readonly<Record<string, readonly [number, number]>>;
export type LinkNumber = keyof typeof LINK_RANGES;

/** All that two links are set by, the same for both bands. */
export type LinkSettings = Readonly<Record<LinkNumber, number>> & {
  readonly keying: KeyingName;
  readonly antenna: (typeof ANTENNAS)[number];
  readonly power: (typeof POWERS)[number];
  readonly path: (typeof PATHS)[number];
  readonly receivingAntenna: (typeof RECEIVING_ANTENNAS)[number];
  /** Which band the receivers are set to: each sensor's own, or one for both. */
  readonly tuned: (typeof TUNINGS)[number];
  readonly interferer: (typeof INTERFERERS)[number];
};

/** One band's link, from the sender's antenna to the telegram. Losses and gains in dB, powers in dBm. */
export interface Link {
  readonly band: BandName;
  readonly carrierHz: number;
  readonly tunedHz: number;
  readonly apart: Apart;
  /** Of the sensor's antenna; `undefined` where it is no loop. */
  readonly loop: { readonly radiationOhm: number; readonly lossOhm: number; readonly efficiency: number } | undefined;
  readonly antennaGainDb: number;
  readonly eirpDbm: number;
  /** What has to go into the antenna for it. */
  readonly intoAntennaDbm: number;
  readonly freeSpaceDb: number;
  readonly twoRayDb: number;
  /** At the receiver's antenna, whatever the receiver is set to. */
  readonly receivedDbm: number;
  /** kTB and the receiver's own; no interferer. */
  readonly quietNoiseDbm: number;
  /** `undefined`: there is none in the receiver's band. */
  readonly interfererDbm: number | undefined;
  readonly noiseDbm: number;
  /** Of a receiver that is set to this band. */
  readonly snrDb: number;
  readonly ebN0Db: number;
  /** As if there were no interferer. */
  readonly quietEbN0Db: number;
}

/** With what a receiver makes of it. */
export interface LinkWithErrors extends Link {
  readonly bitError: number;
  /** Share of the telegrams; 0 where the receiver is set to the other band. */
  readonly success: number;
}

/** Of which the loop is bent. Its tuning capacitor loses too, and is left out. */
const LOOP_WIRE_M = 0.001;

/** Both bands, each by the same settings. */
export function linksOf(settings: LinkSettings): readonly [LinkWithErrors, LinkWithErrors] {
  return [withErrors(settings, "315"), withErrors(settings, "433")];
}

/** The receiver of the textbook for a keying: it does not know the phase. */
export function theoryFor(keying: KeyingName): Theory {
  return theoryOf(KEYINGS[keying]);
}

function withErrors(settings: LinkSettings, band: BandName): LinkWithErrors {
  const link = linkOf(settings, band);
  const theory = theoryFor(settings.keying);
  return {
    ...link,
    bitError: theory.bitError(link.ebN0Db),
    success: link.apart.isInBand ? theory.success(link.ebN0Db) : 0,
  };
}

export function linkOf(settings: LinkSettings, band: BandName): Link {
  const { distanceM, noiseFigureDb, moreLossDb, path } = settings;
  const carrierHz = BANDS[band];
  const tunedTo = settings.tuned === "own" ? band : settings.tuned;
  const bandwidthHz = 1000 * settings.bandwidthKhz;
  const tuned = apart(carrierHz, BANDS[tunedTo], bandwidthHz);

  const loop = settings.antenna === "loop" ? loopAt(settings.loopAreaMm2, carrierHz) : undefined;
  const antennaGainDb = loop
    ? 10 * Math.log10(SMALL_LOOP_DIRECTIVITY * loop.efficiency)
    : settings.antenna === "quarter-wave"
      ? QUARTER_WAVE_GAIN_DB
      : 0;
  const eirpDbm = eirpOf(settings, carrierHz, antennaGainDb);

  const freeSpaceDb = freeSpaceLossDb(carrierHz, distanceM);
  const twoRayDb = twoRayLossDb({
    carrierHz,
    distanceM,
    lowerM: settings.sensorHeightM,
    upperM: settings.receiverHeightM,
    reflection: settings.reflection,
  });
  const lossDb = (path === "free-space" ? freeSpaceDb : twoRayDb) + moreLossDb;
  const receivedDbm = eirpDbm - lossDb + (settings.receivingAntenna === "quarter-wave" ? QUARTER_WAVE_GAIN_DB : 0);

  const quietNoiseDbm = receiverNoiseDbm(bandwidthHz, noiseFigureDb);
  const interfererDbm = interfererIn(settings, tunedTo) ? settings.interfererDbm : undefined;
  const noiseDbm = interfererDbm === undefined ? quietNoiseDbm : together(quietNoiseDbm, interfererDbm);
  const { bitRate } = KEYINGS[settings.keying];
  const ebN0Db = ebN0OfSnr(receivedDbm - noiseDbm, bandwidthHz, bitRate);
  return {
    band,
    carrierHz,
    tunedHz: BANDS[tunedTo],
    apart: tuned,
    loop,
    antennaGainDb,
    eirpDbm,
    intoAntennaDbm: eirpDbm - antennaGainDb,
    freeSpaceDb,
    twoRayDb,
    receivedDbm,
    quietNoiseDbm,
    interfererDbm,
    noiseDbm,
    snrDb: receivedDbm - noiseDbm,
    ebN0Db,
    quietEbN0Db: ebN0OfSnr(receivedDbm - quietNoiseDbm, bandwidthHz, bitRate),
  };
}

function loopAt(areaMm2: number, carrierHz: number) {
  const areaM2 = areaMm2 * 1e-6;
  const radiationOhm = loopRadiationOhm(areaM2, carrierHz);
  const wire = { lengthM: circlePerimeterM(areaM2), diameterM: LOOP_WIRE_M, conductivitySPerM: COPPER_S_PER_M };
  const lossOhm = wireLossOhm(wire, carrierHz);
  return { radiationOhm, lossOhm, efficiency: efficiency(radiationOhm, lossOhm) };
}

/** A limit says what leaves the antenna; a power of one's own goes into it. */
function eirpOf({ power, ownDbm }: LinkSettings, carrierHz: number, antennaGainDb: number): number {
  switch (power) {
    case "us-periodic":
      return usLimitEirpDbm("e", carrierHz);
    case "us-button":
      return usLimitEirpDbm("b", carrierHz);
    case "europe":
      return europeLimitEirpDbm();
    case "own":
      return ownDbm + antennaGainDb;
    default:
      return power satisfies never;
  }
}

/** Whether the interferer is sent in a band and gets through the receiver's filter there. */
function interfererIn({ interferer, interfererOffsetKhz, bandwidthKhz }: LinkSettings, tunedTo: BandName): boolean {
  if (interferer !== "both" && interferer !== tunedTo) return false;
  return Math.abs(interfererOffsetKhz) <= bandwidthKhz / 2;
}
