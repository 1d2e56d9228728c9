import type { RecordingBody } from "../../../server/http/wire.ts";

/** What a link says of the file that it is about, for those who do not hold it. */
export interface NamedFile {
  readonly name: string;
  readonly bytes: number | undefined;
}

/** Bytes of a sample, of each type. */
const SAMPLE_BYTES: Readonly<Record<RecordingBody["sampleType"], number>> = { ci8: 2, cu8: 2, ci16_le: 4, cf32_le: 8 };

/** The address of a view, with name and size of its recording, so that whoever does not have it knows what to ask for. */
export function sharedLink(
  address: string,
  { name, sampleType, sampleCount }: Pick<RecordingBody, "name" | "sampleType" | "sampleCount">,
): string {
  const link = new URL(address);
  link.searchParams.set("name", name);
  link.searchParams.set("bytes", String(sampleCount * SAMPLE_BYTES[sampleType]));
  return link.href;
}

/** What the query of such a link says; `undefined` for one that says nothing of its file. */
export function namedFile(search: string): NamedFile | undefined {
  const query = new URLSearchParams(search);
  const name = query.get("name")?.trim().slice(0, 255);
  const bytes = /^[0-9]{1,15}$/.exec(query.get("bytes") ?? "")?.[0];
  return name ? { name, bytes: bytes === undefined ? undefined : Number(bytes) } : undefined;
}
