import type { BurstBody, RecordingBody, SignalBody, StoredTelegramBody } from "../../server/http/wire.ts";
import { type Answer, get, send } from "../api.ts";
import type { TimeRange } from "../model/recording/range.ts";
import { type NamedFile, type Told, uploadPath } from "../model/recording/uploadPlan.ts";

/** Newest first. */
export function recordings(): Promise<Answer<readonly RecordingBody[]>> {
  return get("/recordings");
}

export function recording(hash: string): Promise<Answer<RecordingBody>> {
  return get(of(hash));
}

/** What was found in a recording; both are empty until its analysis is done. */
export interface Records {
  readonly bursts: readonly BurstBody[];
  readonly telegrams: readonly StoredTelegramBody[];
}

export async function recordsOf(hash: string): Promise<Answer<Records>> {
  const [bursts, telegrams] = await Promise.all([
    get<readonly BurstBody[]>(`${of(hash)}/bursts`),
    get<readonly StoredTelegramBody[]>(`${of(hash)}/telegrams`),
  ]);
  if (!bursts.ok) return bursts;
  if (!telegrams.ok) return telegrams;
  return { ok: true, value: { bursts: bursts.value, telegrams: telegrams.value } };
}

/** @param columns 1 to 4096. */
export function signalOf(
  hash: string,
  { fromSeconds, toSeconds }: TimeRange,
  columns: number,
): Promise<Answer<SignalBody>> {
  return get(`${of(hash)}/signal?from=${fromSeconds}&to=${toSeconds}&columns=${columns}`);
}

/** The files' bytes go one after the other, as they are. */
export function addRecording(
  name: string,
  files: readonly (NamedFile & Blob)[],
  metaBytes: number | undefined,
  told?: Told,
): Promise<Answer<RecordingBody>> {
  return send("POST", uploadPath(name, metaBytes, told), { bytes: new Blob([...files]) });
}

export function removeRecording(hash: string): Promise<Answer<undefined>> {
  return send("DELETE", of(hash), {});
}

export function stopAnalysis(hash: string): Promise<Answer<RecordingBody>> {
  return send("DELETE", `${of(hash)}/analysis`, {});
}

/** With the layouts that are on the shelf now. */
export function analyseAgain(hash: string): Promise<Answer<RecordingBody>> {
  return send("POST", `${of(hash)}/analysis`, {});
}

function of(hash: string): string {
  return `/recordings/${encodeURIComponent(hash)}`;
}
