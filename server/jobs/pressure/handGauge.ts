/** How a sensor and a hand gauge held on the same tyre agree. */
export interface GaugeComparison {
  /** Sensor less hand gauge. */
  readonly differenceKpa: number;
  /** The sum of both errors: up to this it is not a fault. */
  readonly allowedKpa: number;
  readonly agrees: boolean;
  readonly words: string;
}

/**
 * Sensor against hand gauge: apart by up to the sum of their errors is not yet a fault.
 *
 * @param seaLevelAssumed Whether the sensor tells absolute pressure and nobody gave the air outside.
 * @source Allowing gauge error plus sensor error, such as 7 and 7 kPa: common practice, no source.
 */
export function compareWithHandGauge(
  sensor: { readonly gaugeKpa: number; readonly errorKpa: number },
  hand: { readonly gaugeKpa: number; readonly errorKpa: number },
  seaLevelAssumed: boolean,
): GaugeComparison {
  // Nine decimals, so that 14 kPa apart is not 14.000000000000028.
  const differenceKpa = Number((sensor.gaugeKpa - hand.gaugeKpa).toFixed(9));
  const allowedKpa = sensor.errorKpa + hand.errorKpa;
  const agrees = Math.abs(differenceKpa) <= allowedKpa;
  return { differenceKpa, allowedKpa, agrees, words: wordsOf(differenceKpa, allowedKpa, agrees, seaLevelAssumed) };
}

function wordsOf(differenceKpa: number, allowedKpa: number, agrees: boolean, seaLevelAssumed: boolean): string {
  if (agrees) {
    return `Sensor and hand gauge agree: ${cut(differenceKpa)} kPa apart, up to ${allowedKpa} kPa is not a fault.`;
  }
  const side = differenceKpa < 0 ? "lower" : "higher";
  // Rounded up, so that what is shown is beyond what is allowed.
  const apart = (Math.ceil(Math.abs(differenceKpa) * 10) / 10).toFixed(1);
  const fact = `The sensor reads ${apart} kPa ${side} than the hand gauge, more than their errors together (${allowedKpa} kPa).`;
  if (seaLevelAssumed)
    return `${fact} Sea-level air was taken off its reading: enter the barometer or the altitude first.`;
  return `${fact} Try another gauge; if it stays, do not rely on this sensor's pressure.`;
}

/** Cut to a tenth, so that what is shown never goes beyond what is allowed. */
function cut(kpa: number): string {
  return (Math.floor(Math.abs(kpa) * 10) / 10).toFixed(1);
}
