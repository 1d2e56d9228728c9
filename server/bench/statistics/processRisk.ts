import normalCdf from "@stdlib/stats-base-dists-normal-cdf";

/** Shares of all items, 0 to 1. */
export interface ProcessRisk {
  /** Outside the limits, yet called within. */
  readonly falseAccept: number;
  /** Within the limits, yet called outside. */
  readonly falseReject: number;
}

/** What is tested, and with what; all in one unit and above 0. */
export interface TestedProcess {
  /** The limits are this far on either side of where the process is centred. */
  readonly halfWidth: number;
  /** Standard deviation of the true values. */
  readonly process: number;
  /** Standard uncertainty of the measurement. */
  readonly measurement: number;
  /** Results up to this far from the centre are called within. */
  readonly acceptTo: number;
}

/**
 * How often a measurement is wrong about items of a process, both normal and centred between the limits.
 *
 * @throws RangeError for a part that is not above 0.
 * @source JCGM 106:2012, 9.5.3 (global risks; formulas from memory).
 */
export function processRisk({ halfWidth, process, measurement, acceptTo }: TestedProcess): ProcessRisk {
  for (const one of [halfWidth, process, measurement, acceptTo]) {
    if (!(one > 0 && Number.isFinite(one)))
      throw new RangeError(`a process is described by numbers above 0, got ${one}`);
  }
  const density = (x: number) => Math.exp(-((x / process) ** 2) / 2) / (process * Math.sqrt(2 * Math.PI));
  const accepted = (x: number) => below((acceptTo - x) / measurement) - below((-acceptTo - x) / measurement);
  const falseAccept = 2 * integralFromZero((x) => density(halfWidth + x) * accepted(halfWidth + x), measurement);
  const conforming = 1 - 2 * below(-halfWidth / process);
  const called = 1 - 2 * below(-acceptTo / Math.hypot(process, measurement));
  // Conforming items are called so or are false rejects; all called so are conforming or false accepts.
  return { falseAccept, falseReject: Math.max(0, conforming - called + falseAccept) };
}

function below(z: number): number {
  return normalCdf(z, 0, 1);
}

/**
 * The integral from 0 up, for a function that falls off at some scale near `scale`, be it a thousand times smaller.
 *
 * @source H. Takahasi, M. Mori, Double exponential formulas for numerical integration, 1974 (x = exp(pi/2 sinh t)).
 */
function integralFromZero(f: (x: number) => number, scale: number): number {
  const step = 1 / 32;
  let sum = 0;
  for (let t = -4; t <= 4; t += step) {
    const x = scale * Math.exp((Math.PI / 2) * Math.sinh(t));
    sum += f(x) * x * Math.cosh(t);
  }
  return (sum * step * Math.PI) / 2;
}
