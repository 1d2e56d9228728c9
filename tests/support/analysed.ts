import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { TelegramRecord } from "../../decoders/records.ts";
import { openLineFile } from "../../server/receivers/lineFile.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";

/** The telegrams that `wheelgram analyse` finds in a file. */
export async function analysedTelegrams(path: string): Promise<TelegramRecord[]> {
  const opened = path.endsWith(".ndjson") ? await openLineFile(path, () => undefined) : await openRecording(path);
  if (!opened.ok) throw opened.error;
  const telegrams: TelegramRecord[] = [];
  for await (const record of analyse(opened.value, builtinLayouts))
    if (record.kind === "telegram") telegrams.push(record);
  return telegrams;
}

/** What a telegram says, whoever heard it and however its bursts were counted; in order of time. */
export function said(telegrams: readonly TelegramRecord[]): unknown[] {
  return telegrams
    .map(({ file: _, burst: __, repeats, ...rest }) => ({ ...rest, copies: repeats.length }))
    .sort((a, b) => a.atSeconds - b.atSeconds || (a.bits < b.bits ? -1 : 1));
}
