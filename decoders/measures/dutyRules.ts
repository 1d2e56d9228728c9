/** What a rule says of something that was measured. `undefined` in `measured`: it could not be. */
export interface RuleFinding {
  readonly id: "fcc-on-time" | "fcc-silence" | "srd-duty";
  readonly rule: string;
  readonly source: string;
  /** How sure the numbers are: READ-2 were read in two places that are not the rule itself, MEMORY were not looked up. */
  readonly status: string;
  readonly verdict: "within" | "beyond" | "cannot be told" | "does not apply";
  readonly measured: number | undefined;
  readonly limit: number;
  readonly unit: "s" | "%";
  readonly says: string;
}

/** Of one sender over a stretch of time. */
export interface Sending {
  readonly carrierHz: number;
  /** From the first copy's beginning to the last one's end, one each, ascending in time. */
  readonly durationsSeconds: readonly number[];
  /** Silence between each and the next, one fewer. */
  readonly silencesSeconds: readonly number[];
  /** With a carrier on, all together. */
  readonly onAirSeconds: number;
  readonly observedSeconds: number;
}

/** 47 CFR 15.231(e): one transmission at most. */
const MOST_SECONDS = 1;
/** And the silence after it. */
const LEAST_SILENCE_SECONDS = 10;
const SILENCE_TIMES = 30;
/** ERC/REC 70-03, Annex 1, band f: share of any one hour. */
const BAND_F_HZ = [433_050_000, 434_790_000] as const;
const BAND_F_SHARE = 0.1;
const HOUR_SECONDS = 3600;
/** Where the US rule for periodic senders is looked at: sensors of this trade send at 315 and 433.92 MHz. */
const US_CARRIERS_HZ = [260_000_000, 470_000_000] as const;

const FCC = "47 CFR 15.231(e)";
const FCC_STATUS = "READ-2";

/**
 * The silence that 47 CFR 15.231(e) wants after a transmission, in seconds: thirty times as long as it took, and at least
 * 10 s.
 *
 * @source 47 CFR 15.231(e), as a book and a test laboratory print it (READ-2).
 */
export function leastSilenceSeconds(durationSeconds: number): number {
  return Math.max(LEAST_SILENCE_SECONDS, SILENCE_TIMES * durationSeconds);
}

/** The largest share of time that rule leaves: 1/31 from a third of a second on. */
export function mostOnShare(durationSeconds: number): number {
  return durationSeconds / (durationSeconds + leastSilenceSeconds(durationSeconds));
}

/** What the rules say of one sender. Indicative: it is no test by a laboratory, and whoever sends may fall under others. */
export function dutyFindings(sending: Sending): RuleFinding[] {
  return [onTime(sending), silence(sending), duty(sending)];
}

function onTime({ carrierHz, durationsSeconds }: Sending): RuleFinding {
  const longest = Math.max(...durationsSeconds);
  const shared = {
    id: "fcc-on-time",
    rule: `A periodic sender in the US sends for at most ${MOST_SECONDS} s at a time.`,
    source: FCC,
    status: FCC_STATUS,
    limit: MOST_SECONDS,
    unit: "s",
  } as const;
  if (!isUsCarrier(carrierHz)) return { ...shared, ...elsewhere(carrierHz) };
  if (durationsSeconds.length === 0) return { ...shared, ...untold("No transmission was heard whole.") };
  const verdict = longest <= MOST_SECONDS ? "within" : "beyond";
  return { ...shared, verdict, measured: longest, says: `The longest transmission took ${seconds(longest)}.` };
}

function silence({ carrierHz, durationsSeconds, silencesSeconds }: Sending): RuleFinding {
  // The pair that comes nearest to the rule, or breaks it most.
  let worst: { silent: number; least: number } | undefined;
  silencesSeconds.forEach((silent, i) => {
    const least = leastSilenceSeconds(durationsSeconds[i] ?? 0);
    if (!worst || silent - least < worst.silent - worst.least) worst = { silent, least };
  });
  const limit = worst?.least ?? leastSilenceSeconds(Math.max(0, ...durationsSeconds));
  const shared = {
    id: "fcc-silence",
    rule: `After it, a periodic sender in the US is silent for ${SILENCE_TIMES} times as long, and for at least ${LEAST_SILENCE_SECONDS} s.`,
    source: FCC,
    status: FCC_STATUS,
    limit,
    unit: "s",
  } as const;
  if (!isUsCarrier(carrierHz)) return { ...shared, ...elsewhere(carrierHz) };
  if (!worst)
    return { ...shared, ...untold("It was heard only once, so no silence between two transmissions was seen.") };
  const verdict = worst.silent >= worst.least ? "within" : "beyond";
  const says = `The silence that comes nearest to the limit took ${seconds(worst.silent)}; at least ${seconds(worst.least)} is asked for.`;
  return { ...shared, verdict, measured: worst.silent, says };
}

function duty({ carrierHz, onAirSeconds, observedSeconds }: Sending): RuleFinding {
  const shared = {
    id: "srd-duty",
    rule: "In Europe a 10 mW sender from 433.05 to 434.79 MHz is on for less than 10 % of any one hour.",
    source: "ERC/REC 70-03, Annex 1, band f",
    status: "READ-2; that the 10 % are counted over one hour is MEMORY",
    limit: 100 * BAND_F_SHARE,
    unit: "%",
  } as const;
  if (carrierHz < BAND_F_HZ[0] || carrierHz > BAND_F_HZ[1]) {
    const says = `It sends at ${megahertz(carrierHz)} MHz, outside that band.`;
    return { ...shared, verdict: "does not apply", measured: undefined, says };
  }
  const most = BAND_F_SHARE * HOUR_SECONDS;
  const ofHour = (100 * onAirSeconds) / HOUR_SECONDS;
  const heard = `It was on for ${seconds(onAirSeconds)} of the ${seconds(observedSeconds)} recorded`;
  if (onAirSeconds >= most) {
    return { ...shared, verdict: "beyond", measured: ofHour, says: `${heard}; ${most} s in one hour is the limit.` };
  }
  if (observedSeconds >= HOUR_SECONDS) {
    const share = (100 * onAirSeconds) / observedSeconds;
    const verdict = share < 100 * BAND_F_SHARE ? "within" : "beyond";
    return { ...shared, verdict, measured: share, says: `${heard}, a mean of ${share.toPrecision(2)} %.` };
  }
  return {
    ...shared,
    verdict: "cannot be told",
    measured: (100 * onAirSeconds) / Math.max(observedSeconds, 1e-9),
    says: `${heard}. The rule looks at a whole hour, and this recording is shorter.`,
  };
}

function isUsCarrier(carrierHz: number): boolean {
  return carrierHz >= US_CARRIERS_HZ[0] && carrierHz <= US_CARRIERS_HZ[1];
}

function elsewhere(carrierHz: number) {
  const says = `It is held only against carriers from 260 to 470 MHz; this one is at ${megahertz(carrierHz)} MHz.`;
  return { verdict: "does not apply", measured: undefined, says } as const;
}

function untold(says: string) {
  return { verdict: "cannot be told", measured: undefined, says } as const;
}

function seconds(value: number): string {
  if (value < 1) return `${Number((1000 * value).toPrecision(3))} ms`;
  return `${Number(value.toPrecision(value < 100 ? 3 : 4))} s`;
}

function megahertz(hz: number): string {
  return (hz / 1e6).toFixed(2);
}
