import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord, TelegramRecord } from "../../decoders/records.ts";
import { timeOfMicroseconds } from "../receivers/stamps.ts";
import { sensorId } from "../report/telegramCells.ts";
import type { StoredRecording, StoredTelegram } from "../store/store.ts";

/**
 * The telegrams of a recording as they are stored, with ids that stay the same whenever the same samples are analysed to
 * the same telegrams, on whatever machine.
 */
export function recordingTelegrams(
  recording: Pick<StoredRecording, "hash" | "startedAt" | "addedAt">,
  records: readonly AnalysisRecord[],
  layouts: readonly Layout[],
): StoredTelegram[] {
  const layoutOf = new Map(layouts.map((layout) => [layout.id, layout]));
  const originMicroseconds = microsecondsOf(recording.startedAt ?? recording.addedAt);
  return records
    .filter((record): record is TelegramRecord => record.kind === "telegram")
    .map((telegram, i) => ({
      id: `${recording.hash.slice(0, 24)}-${i}`,
      revision: 1,
      at: timeOfMicroseconds(originMicroseconds + Math.round(telegram.atSeconds * 1e6)),
      on: { recordingHash: recording.hash },
      identity: sensorId(telegram, layoutOf.get(telegram.layout)) ?? null,
      telegram,
    }));
}

/** @param time As the store gives times: UTC with six digits of a second. */
function microsecondsOf(time: string): number {
  return Date.parse(`${time.slice(0, 23)}Z`) * 1000 + Number(time.slice(23, 26));
}
