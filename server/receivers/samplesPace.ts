/** Watches whether a stream of samples keeps up with the rate that it announced. */
export interface SamplesPace {
  /**
   * Samples came, and decoding kept the next ones waiting for so long.
   *
   * @returns A sentence once something changed: what is wrong and what to do, or "" once all is well again.
   */
  readonly note: (sampleCount: number, waitedMs: number) => string | undefined;
}

/** So long a stretch is judged together. */
const WINDOW_MS = 5000;
/** Less than this of what was announced is told of. */
const LEAST_SHARE = 0.95;

/** @param now Milliseconds of any steady clock. */
export function createSamplesPace(sampleRateHz: number, now: () => number): SamplesPace {
  let began = now();
  let samples = 0;
  let waited = 0;
  let told = "";
  return {
    note(sampleCount, waitedMs) {
      samples += sampleCount;
      waited += waitedMs;
      const elapsedMs = now() - began;
      if (elapsedMs < WINDOW_MS) return undefined;
      const share = samples / ((sampleRateHz * elapsedMs) / 1000);
      const says = share >= LEAST_SHARE ? "" : sentence(share, waited > elapsedMs / 2);
      began = now();
      samples = 0;
      waited = 0;
      if (says === told) return undefined;
      told = says;
      return says;
    },
  };
}

function sentence(share: number, isDecodingSlow: boolean): string {
  const percent = `${Math.floor(100 * share)} %`;
  return isDecodingSlow
    ? `Only ${percent} of the samples can be decoded as they come; the others wait, or are dropped where they are sent. Send at a lower sample rate, or end other programs.`
    : `Only ${percent} of the announced sample rate comes in: samples are dropped where they are sent, or the rate is not the announced one. Look at the program that sends them.`;
}
