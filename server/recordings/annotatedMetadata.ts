import type { Annotation } from "./annotation.ts";
import { withExtension } from "./extension.ts";
import { decodeUtf8 } from "./json.ts";
import type { Metadata } from "./metadata.ts";
import { readSpelledJson } from "./spelledJson.ts";

/** What changes besides the annotations. */
export interface MetadataChanges {
  /** Written into captures that do not tell their frequency: the annotations' edges count on it. */
  readonly carrierHz?: number | undefined;
  /** The dataset now bears the recording's own name, so nothing needs to be said of it. */
  readonly dropDataset?: boolean;
}

/**
 * The text of metadata with annotations added, sorted by where they start. Whatever we know nothing of stays as it is
 * written: numbers keep their spelling, so that one of more than 53 bits is not rounded on its way.
 *
 * @param metadata As it was parsed; its bytes are JSON.
 * @source SigMF specification 1.2.5, "Annotations Array".
 */
export function annotatedMetadata(
  metadata: Metadata,
  annotations: readonly Annotation[],
  changes: MetadataChanges = {},
): string {
  const decoded = decodeUtf8(metadata.bytes);
  if (!decoded.ok) throw new RangeError(`metadata that is no UTF-8 at byte ${decoded.error.byte}`);
  const spelled = readSpelledJson(`[${decoded.value},${JSON.stringify(annotations)}]`);
  const whole = Array.isArray(spelled.value) ? spelled.value[0] : undefined;
  if (!isObject(whole) || !isObject(whole["global"])) throw new RangeError("metadata without global");

  const { "core:dataset": dataset, ...global } = whole["global"];
  if (dataset !== undefined && !changes.dropDataset) global["core:dataset"] = dataset;
  global["core:version"] ??= "1.2.5";
  const existing = entriesOf(whole["annotations"]).map((entry, i) => ({
    start: metadata.annotations[i]?.["core:sample_start"] ?? 0,
    entry,
  }));
  const added = annotations.map((entry) => ({ start: entry["core:sample_start"], entry }));
  const merged = [...existing, ...added].sort((a, b) => a.start - b.start).map(({ entry }) => entry);
  const captures = withCarrier(entriesOf(whole["captures"]), metadata, changes.carrierHz);
  return `${spelled.print({ ...whole, global: withExtension(global, annotations), captures, annotations: merged }, 2)}\n`;
}

function withCarrier(captures: readonly JsonObject[], metadata: Metadata, carrierHz: number | undefined): JsonObject[] {
  if (carrierHz === undefined) return [...captures];
  const start = metadata.global["core:offset"] ?? 0;
  if (captures.length === 0) return [{ "core:sample_start": start, "core:frequency": carrierHz }];
  return captures.map((capture) =>
    "core:frequency" in capture ? capture : { ...capture, "core:frequency": carrierHz },
  );
}

type JsonObject = Record<string, unknown>;

function isObject(value: unknown): value is JsonObject {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function entriesOf(value: unknown): JsonObject[] {
  return Array.isArray(value) ? value.filter(isObject) : [];
}
