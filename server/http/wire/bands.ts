import { z } from "zod";
import {
  ANTENNAS,
  BAND_NAMES,
  INTERFERERS,
  LINK_RANGES,
  type LinkNumber,
  PATHS,
  POWERS,
  RECEIVING_ANTENNAS,
  TUNINGS,
} from "../../../decoders/radio/link.ts";
import { KEYING_NAMES } from "../../../decoders/radio/telegram.ts";
import { RUNGS } from "../../../decoders/records.ts";

// The two bands beside each other: what a link is set by, and what the decoder made of a recording of it.

const MOST_BAND_TELEGRAMS = 60;
const LEAST_BAND_TELEGRAMS = 5;

const within = (name: LinkNumber) => z.number().min(LINK_RANGES[name][0]).max(LINK_RANGES[name][1]);
const share = z.number().min(0).max(1);
const count = z.int().min(0);

export const BandTryNewBody = z.strictObject({
  /** Straight from antenna to antenna. */
  distanceM: within("distanceM"),
  /** What wheel, tyre and body take, in dB, at both bands alike. */
  moreLossDb: within("moreLossDb"),
  sensorHeightM: within("sensorHeightM"),
  receiverHeightM: within("receiverHeightM"),
  /** What the ground gives back of the field. */
  reflection: within("reflection"),
  loopAreaMm2: within("loopAreaMm2"),
  /** Into the sensor's antenna; counts where `power` is `own`. */
  ownDbm: within("ownDbm"),
  noiseFigureDb: within("noiseFigureDb"),
  bandwidthKhz: within("bandwidthKhz"),
  interfererDbm: within("interfererDbm"),
  /** From the middle of the receiver's band. */
  interfererOffsetKhz: within("interfererOffsetKhz"),
  keying: z.enum(KEYING_NAMES),
  antenna: z.enum(ANTENNAS),
  power: z.enum(POWERS),
  path: z.enum(PATHS),
  receivingAntenna: z.enum(RECEIVING_ANTENNAS),
  /** Which band both receivers are set to. */
  tuned: z.enum(TUNINGS),
  interferer: z.enum(INTERFERERS),
  /** In each band; 20 where it is absent. */
  telegrams: z.int().min(LEAST_BAND_TELEGRAMS).max(MOST_BAND_TELEGRAMS).optional(),
  /** The same seed gives the same noise; drawn where it is absent. */
  seed: z.int().min(0).max(2_000_000_000).optional(),
});

const OfSentBody = z.strictObject({
  count,
  /** Where the share lies with 95 %, after Clopper and Pearson. */
  from: share,
  to: share,
});

const BandTriedBody = z.strictObject({
  band: z.enum(BAND_NAMES),
  carrierHz: z.number(),
  tunedHz: z.number(),
  /** In the receiver's bandwidth, the interferer's power counted as noise. */
  snrDb: z.number(),
  ebN0Db: z.number(),
  /** What the recording was made with: no interferer, which is in it as a carrier; from −30 to 70 dB. */
  madeEbN0Db: z.number(),
  /** By the formulas for a receiver that does not know the phase and repairs nothing. */
  expected: z.strictObject({ bitError: share, share }),
  sent: count,
  /** Verified, and the bits that were sent. */
  read: OfSentBody,
  withoutRepair: OfSentBody,
  /** What was not read, by the rung that it missed first, with the sentence of one of them. */
  missed: z.array(z.strictObject({ rung: z.enum(RUNGS), count, because: z.string() })),
  /** Steady carriers that the decoder told of. */
  interferersFound: count,
});
export type BandTriedBody = z.infer<typeof BandTriedBody>;

export const BandTryBody = z.strictObject({
  seed: z.int(),
  telegrams: count,
  bands: z.array(BandTriedBody),
});
export type BandTryBody = z.infer<typeof BandTryBody>;
