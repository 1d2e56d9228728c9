import type { StoredRecording, StoredTelegram } from "../store/store.ts";
import type { RecordingBody, StoredTelegramBody } from "./wire.ts";

/** A recording as it goes over the wire. */
export function recordingBody(recording: StoredRecording): RecordingBody {
  const { startedAt: _, captures, summary, ...rest } = recording;
  return {
    ...rest,
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
