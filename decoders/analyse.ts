import type { Layout } from "./layouts/schema.ts";
import type { AnalysisRecord } from "./records.ts";
import type { Source } from "./sources.ts";

export interface AnalyseOptions {
  /** Milliseconds of any steady clock, handed in for `samplesPerSecond`. */
  readonly now?: () => number;
}

/** Bursts, telegrams and a summary of one recording or of what a receiver said, in order of time. */
export async function* analyse(
  source: Source,
  layouts: readonly Layout[],
  options: AnalyseOptions = {},
): AsyncGenerator<AnalysisRecord, void, undefined> {
  throw new RangeError(`not there yet: ${source.file} ${layouts.length} ${options.now?.()}`);
}
