import type { StoredRecording } from "../store/store.ts";

/** What stored samples need to be read again: one header less, captures counted from their first sample. */
export function storedMetadata(recording: StoredRecording): unknown {
  return {
    global: {
      "core:version": "1.2.5",
      "core:datatype": recording.sampleType,
      "core:sample_rate": recording.sampleRateHz,
      "core:sha512": recording.hash,
    },
    captures: recording.captures.map(({ sampleStart, carrierHz }, i) => ({
      "core:sample_start": sampleStart,
      ...(carrierHz === null ? {} : { "core:frequency": carrierHz }),
      ...(i === 0 && recording.startedAt !== null ? { "core:datetime": recording.startedAt } : {}),
    })),
    annotations: [],
  };
}
