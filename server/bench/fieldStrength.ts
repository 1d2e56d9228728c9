import type { Fixture } from "./lot.ts";

/** What the receiver's level comes to as a field strength. */
export interface FieldStrength {
  /** At 3 m, in dB over 1 microvolt per metre; `null` where it cannot be told. */
  readonly dbUvPerM: number | null;
  readonly says: string;
}

const CAVEAT =
  "Indicative only: a pot, a bench and hands change it by many dB, and approval is for an accredited laboratory.";
/** Nearer than this the field is not yet a wave: a sixth of a wavelength. */
const NEAR_FIELD_WAVES = 1 / (2 * Math.PI);

/**
 * Field strength at 3 m from a level in dBFS: power at the antenna, its gain, and the distance by the inverse law.
 *
 * E = P + 77.2 + 20 log f - G, with P in dBm at 50 ohm, f in MHz and G in dBi, which is the antenna factor
 * 20 log f - 29.78 - G on P + 106.99 dB over 1 microvolt.
 *
 * @source ITU-R P.525, free space (e = sqrt(30 p) / d); the antenna factor of an antenna at 50 ohm follows from it.
 */
export function fieldStrength(
  levelDbfs: number | null,
  carrierHz: number | null,
  {
    fullScaleDbm,
    antennaGainDbi,
    distanceM,
    kind,
  }: Pick<Fixture, "fullScaleDbm" | "antennaGainDbi" | "distanceM" | "kind">,
): FieldStrength {
  if (levelDbfs === null || carrierHz === null) {
    return { dbUvPerM: null, says: "No level in dBFS: it takes a recording, a receiver's lines do not do." };
  }
  const lacks = [
    ...(fullScaleDbm === null ? ["what full scale is in dBm"] : []),
    ...(antennaGainDbi === null ? ["the antenna's gain"] : []),
    ...(distanceM === null ? ["the distance"] : []),
  ];
  if (fullScaleDbm === null || antennaGainDbi === null || distanceM === null) {
    return { dbUvPerM: null, says: `It would take ${lacks.join(", ")} with the fixture.` };
  }
  const mhz = carrierHz / 1e6;
  const here = levelDbfs + fullScaleDbm + FIELD_OF_DBM + 20 * Math.log10(mhz) - antennaGainDbi;
  const dbUvPerM = here + 20 * Math.log10(distanceM / 3);
  const near =
    distanceM < NEAR_FIELD_WAVES * (299.792458 / mhz)
      ? " So near the antenna the law of distance does not hold yet."
      : "";
  const metal = kind.startsWith("metal") ? " The metal pot shields, so that it tells of the pot." : "";
  return { dbUvPerM, says: `${dbUvPerM.toFixed(0)} dB(µV/m) at 3 m.${near}${metal} ${CAVEAT}` };
}

/** 20 log (1e6 sqrt(4 pi Z0 10^-3) / c) with f in MHz: 77.21. */
const FIELD_OF_DBM = 20 * Math.log10((1e6 * Math.sqrt(4 * Math.PI * 376.730313668 * 1e-3) * 1e6) / 299_792_458);
