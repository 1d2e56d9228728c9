import { open } from "node:fs/promises";
import { z } from "zod";
import { complaintsOf } from "../../decoders/layouts/complaint.ts";
import { fileError, firstComplaint, InputError } from "../recordings/inputError.ts";
import { readJson } from "../recordings/json.ts";
import { MAX_METADATA_BYTES } from "../recordings/metadata.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";

export const COLLECTION_SUFFIX = ".sigmf-collection";

/** A recording that a collection lists. */
export interface Stream {
  /** Of its files, without ending; they lie beside the collection. */
  readonly name: string;
  /** SHA-512 of its metadata file, lower-case hex. */
  readonly hash: string;
}

/**
 * The recordings that a SigMF collection lists, in its order.
 *
 * @source SigMF specification 1.2.5, "SigMF Collection Format": core:streams, a list of name and hash, "the SHA512 hash
 *   of the Recording's metadata file"; as an object, or in older files as a pair.
 */
export async function readCollection(path: string): Promise<Result<readonly Stream[], InputError>> {
  let bytes: Uint8Array;
  try {
    const handle = await open(path, "r");
    try {
      const { size } = await handle.stat();
      if (size > MAX_METADATA_BYTES) {
        return fail(new InputError(path, "byte 0", `${size} bytes`, `a collection of at most ${MAX_METADATA_BYTES}`));
      }
      bytes = await handle.readFile();
    } finally {
      await handle.close();
    }
  } catch (error) {
    return fail(fileError(path, error, "a collection that can be read"));
  }
  const json = readJson(bytes);
  if (!json.ok) return fail(new InputError(path, `byte ${json.error.byte}`, json.error.found, json.error.allowed));
  const parsed = Collection.safeParse(json.value);
  if (!parsed.success) return fail(firstComplaint(path, complaintsOf(parsed.error, json.value)));
  const streams = parsed.data.collection["core:streams"].map((stream) => {
    const [name, hash] = Array.isArray(stream) ? stream : [stream.name, stream.hash];
    return { name, hash: hash.toLowerCase() };
  });
  return succeed(streams);
}

const name = z
  .string()
  .min(1)
  .max(255)
  .refine((text) => !/[/\\\p{Cc}]/u.test(text) && !/^\.*$/.test(text), "the name of a recording beside it, no folder");
const hash = z.string().regex(/^[0-9a-f]{128}$/i, "a SHA-512 in hex");

const Collection = z.looseObject({
  collection: z.looseObject({
    "core:streams": z.array(z.union([z.looseObject({ name, hash }), z.tuple([name, hash])])).min(1),
  }),
});
