import type {
  BurstSymbolsBody,
  EdgesBody,
  MeasuresBody,
  SignalBody,
  SpectrumBody,
  TimingBody,
} from "../../server/http/wire.ts";
import { type Answer, get } from "../api.ts";
import type { TimeRange } from "../model/recording/range.ts";

// What the server measures on the samples of a recording. Each answer is worked out anew when it is asked for.

/** In Hz at RF. */
export interface Band {
  readonly lowHz: number;
  readonly highHz: number;
}

/** Level and frequency of a stretch. @param columns 1 to 4096. @param band The whole of the recording's where left out. */
export function signalWithFrequency(
  hash: string,
  { fromSeconds, toSeconds }: TimeRange,
  columns: number,
  band?: Band,
): Promise<Answer<SignalBody>> {
  return get(
    `${of(hash)}/signal?from=${fromSeconds}&to=${toSeconds}&columns=${columns}&frequency=true${bandQuery(band)}`,
  );
}

/** The pulse edge nearest to a moment. @param band That of the burst there, where left out. */
export function edgeNear(
  hash: string,
  atSeconds: number,
  reachSeconds: number,
  band?: Band,
): Promise<Answer<EdgesBody>> {
  return get(`${of(hash)}/edges?at=${atSeconds}&reach=${reachSeconds}${bandQuery(band)}`);
}

/** Of the burst that fills most of a stretch, or of the stretch itself where there is none. @param burst One by its index. */
export function measuresOf(
  hash: string,
  { fromSeconds, toSeconds }: TimeRange,
  burst?: number,
): Promise<Answer<MeasuresBody>> {
  const one = burst === undefined ? "" : `&burst=${burst}`;
  return get(`${of(hash)}/measures?from=${fromSeconds}&to=${toSeconds}${one}`);
}

/** How often sensors sent, against the rules. @param identity Of one of them; all where left out. */
export function timingOf(hash: string, identity?: string): Promise<Answer<TimingBody>> {
  return get(`${of(hash)}/timing${identity === undefined ? "" : `?identity=${encodeURIComponent(identity)}`}`);
}

/** @param lines A power of two, 16 to 4096. */
export function spectrumOf(
  hash: string,
  { fromSeconds, toSeconds }: TimeRange,
  lines: number,
): Promise<Answer<SpectrumBody>> {
  return get(`${of(hash)}/spectrum?from=${fromSeconds}&to=${toSeconds}&lines=${lines}`);
}

/** @param burst Its index. @param atSeconds Of a burst that holds several telegrams: which. */
export function symbolsOf(hash: string, burst: number, atSeconds?: number): Promise<Answer<BurstSymbolsBody>> {
  return get(`${of(hash)}/bursts/${burst}/symbols${atSeconds === undefined ? "" : `?at=${atSeconds}`}`);
}

function of(hash: string): string {
  return `/recordings/${encodeURIComponent(hash)}`;
}

function bandQuery(band: Band | undefined): string {
  return band ? `&lowHz=${band.lowHz}&highHz=${band.highHz}` : "";
}
