import { z } from "zod";
import { complaintsOf, shown } from "../../decoders/layouts/complaint.ts";
import { SAMPLE_TYPES } from "../../decoders/sources.ts";
import { firstComplaint, InputError } from "./inputError.ts";
import { readJson } from "./json.ts";
import { RATE_RANGE_HZ } from "./recording.ts";
import { fail, type Result, succeed } from "./result.ts";

/** Metadata of a SigMF recording: the keys we act on, checked, and the bytes they came from with all the others. */
export interface Metadata {
  readonly global: z.infer<typeof Global>;
  readonly captures: readonly z.infer<typeof Capture>[];
  readonly annotations: readonly z.infer<typeof Annotation>[];
  readonly bytes: Uint8Array;
}

/** More than this is no metadata; it would be read as a whole. */
export const MAX_METADATA_BYTES = 64 * 2 ** 20;

/**
 * The metadata that the bytes of a `.sigmf-meta` file hold. Keys that we do not know are no fault and stay in `bytes`.
 *
 * @param file Its name, for the complaint.
 * @source SigMF specification 1.2.5, "Global Object" to "Annotations Array".
 */
export function parseMetadata(file: string, bytes: Uint8Array): Result<Metadata, InputError> {
  const json = readJson(bytes);
  if (!json.ok) return fail(new InputError(file, `byte ${json.error.byte}`, json.error.found, json.error.allowed));
  const parsed = Shape.safeParse(json.value);
  if (!parsed.success) return fail(firstComplaint(file, complaintsOf(parsed.error, json.value)));
  const { global, captures, annotations = [] } = parsed.data;
  const fault = neededExtension(file, global) ?? misplaced(file, "captures", captures, global["core:offset"] ?? 0);
  return fault ? fail(fault) : succeed({ global, captures, annotations, bytes });
}

const index = z.int().min(0);
const frequencyHz = z.number().min(-1e12).max(1e12);

const Global = z.looseObject({
  "core:datatype": z.enum(SAMPLE_TYPES),
  "core:sample_rate": z.number().min(RATE_RANGE_HZ[0]).max(RATE_RANGE_HZ[1]),
  "core:num_channels": z.literal(1).optional(),
  "core:version": z.string().max(100).optional(),
  "core:offset": index.optional(),
  "core:dataset": z
    .string()
    .max(255)
    .refine((name) => !/[/\\\p{Cc}]/u.test(name) && !/^\.*$/.test(name), "the name of a file beside it, with no folder")
    .optional(),
  "core:trailing_bytes": index.optional(),
  "core:metadata_only": z.literal(false).optional(),
  "core:extensions": z
    .array(z.looseObject({ name: z.string(), version: z.string(), optional: z.boolean() }))
    .optional(),
});

const Capture = z.looseObject({
  "core:sample_start": index,
  "core:frequency": frequencyHz.optional(),
  "core:header_bytes": index.optional(),
});

const Annotation = z.looseObject({ "core:sample_start": index });

const Shape = z.looseObject({
  global: Global,
  captures: z.array(Capture),
  annotations: z.array(Annotation).optional(),
});

/** An extension that must be understood is one we do not know: we know none. */
function neededExtension(file: string, global: Metadata["global"]): InputError | undefined {
  const at = global["core:extensions"]?.findIndex((extension) => !extension.optional) ?? -1;
  if (at < 0) return undefined;
  const name = shown(global["core:extensions"]?.[at]?.name);
  return new InputError(
    file,
    `global.core:extensions[${at}].optional`,
    "false",
    `true: extension ${name} is not known here`,
  );
}

/** Captures must ascend, and none may start before the first sample of this file. */
function misplaced(
  file: string,
  list: string,
  entries: readonly { readonly "core:sample_start": number }[],
  lowest: number,
): InputError | undefined {
  let least = lowest;
  for (const [i, entry] of entries.entries()) {
    const start = entry["core:sample_start"];
    if (start < least) {
      const why = least === lowest ? "core:offset" : "the start of the one before";
      return new InputError(file, `${list}[${i}].core:sample_start`, String(start), `at least ${least}, ${why}`);
    }
    least = start;
  }
  return undefined;
}
