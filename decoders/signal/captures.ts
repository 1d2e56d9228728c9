import type { SampleSource } from "../sources.ts";
import { createEar, type Ear, type Quiet } from "./ear.ts";
import type { HeardBurst } from "./heardBurst.ts";
import { createKernels, type KernelSize, type Kernels } from "./kernels/kernels.ts";
import { bytesPerSample } from "./samples.ts";

/** How far time may go on in a recording without a word about it. */
const TELL_SECONDS = 0.1;

/** Where a capture was tuned, and when it began. */
export interface Tuning {
  readonly sampleRateHz: number;
  /** `undefined`: the recording does not say. */
  readonly centreHz: number | undefined;
  /** Seconds from the recording's first sample to the capture's. */
  readonly startSeconds: number;
}

/** What a stretch of a recording brought. */
export interface Heard {
  readonly tuning: Tuning;
  readonly bursts: readonly HeardBurst[];
  /** Too low to be believed alone: only for what combines repeats. */
  readonly faint: readonly HeardBurst[];
  /** No burst that is still to come starts before this time. */
  readonly settledSeconds: number;
  /** Where the capture ended here: what it was like between the bursts. */
  readonly quiet: Quiet | undefined;
}

/**
 * Listens to every capture of a recording in turn.
 *
 * @param widestHz How far apart the two frequencies of one sender may be.
 */
export async function* captures(source: SampleSource, widestHz: number): AsyncGenerator<Heard, void, undefined> {
  const { sampleRateHz, sampleType } = source;
  const size = bytesPerSample(sampleType);
  const starts = source.captures.map((capture) => capture.sampleStart * size);
  let position = 0;
  let current = -1;
  let toldSeconds = 0;
  let ear: Ear | undefined;
  // All ears are of one size, and one is done before the next begins.
  let kernels: Kernels | undefined;
  const make = (size: KernelSize) => {
    kernels ??= createKernels(size);
    return kernels;
  };

  const tuningOf = (index: number): Tuning => ({
    sampleRateHz,
    centreHz: source.captures[index]?.carrierHz,
    startSeconds: (source.captures[index]?.sampleStart ?? 0) / sampleRateHz,
  });
  const closing = (last: Ear, index: number): Heard => {
    const heard = last.end();
    const quiet = last.quiet();
    const tuning = tuningOf(index);
    return { tuning, ...parted(heard), settledSeconds: tuning.startSeconds + quiet.samples / sampleRateHz, quiet };
  };

  for await (const block of source.blocks) {
    let at = 0;
    while (at < block.length) {
      const next = starts[current + 1];
      if (next !== undefined && position >= next) {
        if (ear) yield closing(ear, current);
        current++;
        ear = createEar(sampleType, sampleRateHz, widestHz, make);
        continue;
      }
      const count = Math.min(block.length - at, (next ?? Number.POSITIVE_INFINITY) - position);
      const bytes = block.subarray(at, at + count);
      at += count;
      position += count;
      if (!ear) continue; // before the first capture
      const heard = ear.push(bytes);
      const tuning = tuningOf(current);
      const settledSeconds = tuning.startSeconds + ear.settledSample() / sampleRateHz;
      // Also without a burst, so that one which waited for an earlier one to end is not kept waiting.
      const moved = settledSeconds - toldSeconds > TELL_SECONDS;
      if (heard.length === 0 && !moved) continue;
      toldSeconds = settledSeconds;
      yield { tuning, ...parted(heard), settledSeconds, quiet: undefined };
    }
  }
  if (ear) yield closing(ear, current);
}

function parted(heard: readonly HeardBurst[]): Pick<Heard, "bursts" | "faint"> {
  return { bursts: heard.filter((burst) => !burst.faint), faint: heard.filter((burst) => burst.faint) };
}
