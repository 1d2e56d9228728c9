import { crcOfBits } from "../../decoders/checks/crc.ts";
import { hexOfBits } from "../../decoders/frames/hex.ts";
import { LINE_CODES, type LineCodeName } from "../../decoders/layouts/schema.ts";
import { decodeSymbols, lineCodeOf } from "../../decoders/linecode/lineCode.ts";
import { leastSilenceSeconds } from "../../decoders/measures/dutyRules.ts";
import { carsonBandwidthHz, thermalNoiseDbm } from "../../decoders/signal/bandwidth.ts";
import { gaugeKpaAtTemperature, kpaFrom, pressureIn, standardAtmosphereKpa } from "../../decoders/units.ts";
import { usLampRule } from "../jobs/pressure/lampRules.ts";
import { JOB_FUNCTIONS } from "./jobFunctions.ts";
import { BIT_FUNCTIONS } from "./tool/bitFunctions.ts";
import { PRESSURE_FUNCTIONS } from "./tool/pressureFunctions.ts";
import { RADIO_FUNCTIONS } from "./tool/radioFunctions.ts";

/** What the tool itself works out, by the names that a formula calls it by. */
export const TOOL_FUNCTIONS: Readonly<Record<string, (...given: never[]) => number | string>> = {
  ...JOB_FUNCTIONS,
  standardAtmosphereKpa: (altitudeM: number) => standardAtmosphereKpa(altitudeM),
  gaugeKpaAtTemperature: (gaugeKpa: number, fromC: number, toC: number, ambientKpa: number) =>
    gaugeKpaAtTemperature(gaugeKpa, fromC, toC, ambientKpa),
  kpaFromPsi: (psi: number) => kpaFrom(psi, "psi"),
  psiFromKpa: (kpa: number) => pressureIn("psi", kpa),
  barFromKpa: (kpa: number) => pressureIn("bar", kpa),
  carsonBandwidthHz: (deviationHz: number, symbolRate: number) => carsonBandwidthHz(deviationHz, symbolRate),
  usThresholdKpa: (placardKpa: number) => usThresholdKpa(placardKpa),
  thermalNoiseDbm: (bandwidthHz: number) => thermalNoiseDbm(bandwidthHz),
  leastSilenceSeconds: (onSeconds: number) => leastSilenceSeconds(onSeconds),
  lineCodeBits: (code: string, symbols: string) => lineCodeBits(code, symbols),
  crc: (width: number, poly: string, init: string, xorout: string, bits: string) =>
    crcHex({ width, poly, init, xorout }, bits),
  parity: (kind: string, bits: string) =>
    [...bits].filter((bit) => bit === "1").length % 2 === (kind === "odd" ? 0 : 1) ? 1 : 0,
  hexOfBits: (bits: string) => hexOfBits(ofText(bits)),
  unsigned: (bits: string) => Number.parseInt(bits, 2),
  signed: (bits: string) => Number.parseInt(bits, 2) - (bits.startsWith("1") ? 2 ** bits.length : 0),
  part: (bits: string, from: number, count: number) => bits.slice(from, from + count),
  ...BIT_FUNCTIONS,
  ...PRESSURE_FUNCTIONS,
  ...RADIO_FUNCTIONS,
};
