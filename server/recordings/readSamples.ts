import { open } from "node:fs/promises";
import type { SampleType } from "../../decoders/sources.ts";
import { sampleBytes } from "./recording.ts";

/**
 * The bytes of a stretch of stored samples, half open.
 *
 * @param fromByte Where the recording's first sample lies in the file.
 * @throws Error where the file ends before the stretch does.
 */
export async function readSamples(
  path: string,
  fromByte: number,
  sampleType: SampleType,
  fromSample: number,
  toSample: number,
): Promise<Uint8Array> {
  const size = sampleBytes(sampleType);
  const bytes = new Uint8Array((toSample - fromSample) * size);
  const file = await open(path, "r");
  try {
    for (let filled = 0; filled < bytes.length; ) {
      const at = fromByte + fromSample * size + filled;
      const { bytesRead } = await file.read(bytes, filled, bytes.length - filled, at);
      if (bytesRead === 0) throw new Error(`stored samples end at byte ${at}, too early`);
      filled += bytesRead;
    }
  } finally {
    await file.close();
  }
  return bytes;
}
