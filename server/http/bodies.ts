import type { StoredRecording, StoredTelegram } from "../store/store.ts";
import type { RecordingBody, StoredTelegramBody } from "./wire.ts";

/** A recording as it goes over the wire. */
export function recordingBody(
  recording: StoredRecording,
  now: { readonly restSeconds?: number | undefined; readonly placeState?: "there" | "gone" | "changed" } = {},
): RecordingBody {
  const { startedAt: _, captures, summary, place, analysis, ...rest } = recording;
  const { restSeconds, placeState = "there" } = now;
  return {
    ...rest,
    analysis: restSeconds === undefined || analysis.state !== "running" ? analysis : { ...analysis, restSeconds },
    ...(place ? { inPlace: { path: place.path, state: placeState } } : {}),
    seconds: recording.sampleCount / recording.sampleRateHz,
    captures: captures.map((capture) => ({ ...capture })),
    summary: summary && {
      ...summary,
      sensors: [...summary.sensors],
      interferers: [...summary.interferers],
      rungs: [...summary.rungs],
    },
  };
}

/** A telegram as it goes over the wire. */
export function telegramBody({ id, revision, at, on, identity, telegram }: StoredTelegram): StoredTelegramBody {
  return {
    id,
    revision,
    at,
    receiverId: "receiverId" in on ? on.receiverId : null,
    recordingHash: "recordingHash" in on ? on.recordingHash : null,
    identity,
    telegram: { ...telegram, repeats: [...telegram.repeats], fields: { ...telegram.fields } },
  };
}
