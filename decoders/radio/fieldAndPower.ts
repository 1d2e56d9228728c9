/** 10 lg 30 in dB over 1 microvolt per metre and 1 mW: 104.77. */
const FIELD_OF_EIRP_DB = 10 * Math.log10(30e-3) + 120;

/**
 * Power that an isotropic antenna would have to send, in dBm, for a field strength in dB over 1 microvolt per metre.
 *
 * @source ITU-R P.525-2, Annex 1, 2.1, equation 1: e = sqrt(30 p) / d.
 */
export function eirpOfField(dbUvPerM: number, distanceM: number): number {
  return dbUvPerM + 20 * Math.log10(distanceM) - FIELD_OF_EIRP_DB;
}

/** The other way round: field strength in dB over 1 microvolt per metre. */
export function fieldOfEirp(eirpDbm: number, distanceM: number): number {
  return eirpDbm - 20 * Math.log10(distanceM) + FIELD_OF_EIRP_DB;
}

/** Of a field strength in microvolt per metre: dB over 1. */
export function dbUvPerM(uvPerM: number): number {
  return 20 * Math.log10(uvPerM);
}
