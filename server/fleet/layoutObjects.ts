import { createHash } from "node:crypto";
import { z } from "zod";
import { type Layout, LayoutShape } from "../../decoders/layouts/schema.ts";
import type { Objects } from "./objects.ts";

/** Layouts that recordings are to be tried with, in the object store under the SHA-256 of their text. */
export interface LayoutObjects {
  /** @returns What they are known by. */
  readonly put: (layouts: readonly Layout[]) => Promise<string>;
  /** `undefined`: there are none of that hash. */
  readonly get: (hash: string) => Promise<readonly Layout[] | undefined>;
}

/** Sets that are kept in memory. */
const MOST_KEPT = 8;

export function createLayoutObjects(objects: Objects): LayoutObjects {
  const sent = new Set<string>();
  const got = new Map<string, readonly Layout[]>();
  const nameOf = (hash: string) => `layouts.${hash}`;
  return {
    async put(layouts) {
      const text = JSON.stringify(layouts);
      const hash = createHash("sha256").update(text).digest("hex");
      if (!sent.has(hash)) await objects.put(nameOf(hash), Buffer.from(text));
      sent.add(hash);
      return hash;
    },
    async get(hash) {
      const known = got.get(hash);
      if (known) return known;
      const bytes = await objects.get(nameOf(hash));
      if (bytes === undefined) return undefined;
      const layouts = z.array(LayoutShape).parse(JSON.parse(Buffer.from(bytes).toString()));
      const [oldest] = got.keys();
      if (got.size >= MOST_KEPT && oldest !== undefined) got.delete(oldest);
      got.set(hash, layouts);
      return layouts;
    },
  };
}
