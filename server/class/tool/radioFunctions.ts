import { dutyFindings, leastSilenceSeconds } from "../../../decoders/measures/dutyRules.ts";
import { loopRadiationOhm } from "../../../decoders/radio/antennas.ts";
import { dbUvPerM, eirpOfField } from "../../../decoders/radio/fieldAndPower.ts";
import { receiverNoiseDbm } from "../../../decoders/radio/noise.ts";
import { freeSpaceLossDb } from "../../../decoders/radio/pathLoss.ts";
import { usLimitUvPerM } from "../../../decoders/radio/senderLimits.ts";
import { quarterWaveM, wavelengthM } from "../../../decoders/radio/wavelength.ts";
import { carsonBandwidthHz, thermalNoiseDbm } from "../../../decoders/signal/bandwidth.ts";

/** What the decoders know of waves, powers and the rules of the air. */
export const RADIO_FUNCTIONS: Readonly<Record<string, (...given: never[]) => number | string>> = {
  wavelengthM: (carrierHz: number) => wavelengthM(carrierHz),
  quarterWaveM: (carrierHz: number) => quarterWaveM(carrierHz),
  freeSpaceLossDb: (carrierHz: number, distanceM: number) => freeSpaceLossDb(carrierHz, distanceM),
  loopRadiationOhm: (areaM2: number, carrierHz: number) => loopRadiationOhm(areaM2, carrierHz),
  usPeriodicLimitUvPerM: (carrierHz: number) => usLimitUvPerM("e", carrierHz),
  eirpDbmOfField: (uvPerM: number, distanceM: number) => eirpOfField(dbUvPerM(uvPerM), distanceM),
  carsonBandwidthHz: (deviationHz: number, symbolRate: number) => carsonBandwidthHz(deviationHz, symbolRate),
  thermalNoiseDbm: (bandwidthHz: number) => thermalNoiseDbm(bandwidthHz),
  receiverNoiseDbm: (bandwidthHz: number, noiseFigureDb: number) => receiverNoiseDbm(bandwidthHz, noiseFigureDb),
  leastSilenceSeconds: (onSeconds: number) => leastSilenceSeconds(onSeconds),
  rulesHeldAgainst: (carrierHz: number) => rulesHeldAgainst(carrierHz),
};

/** Whose rules of on-time and silence are held against a sender: `us`, `europe`, `both` or `neither`. */
function rulesHeldAgainst(carrierHz: number): string {
  const sending = { carrierHz, durationsSeconds: [0.1], silencesSeconds: [], onAirSeconds: 0.1, observedSeconds: 60 };
  const held = dutyFindings(sending).filter(({ verdict }) => verdict !== "does not apply");
  const us = held.some(({ id }) => id.startsWith("fcc"));
  const europe = held.some(({ id }) => id.startsWith("srd"));
  return us && europe ? "both" : us ? "us" : europe ? "europe" : "neither";
}
