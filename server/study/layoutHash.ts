import { createHash } from "node:crypto";
import type { Layout } from "../../decoders/layouts/schema.ts";

/** SHA-256 of a layout, lower-case hex: of its JSON without blanks, keys ascending, so that their order is no matter. */
export function layoutHash(layout: Layout): string {
  return createHash("sha256")
    .update(JSON.stringify(sorted(layout)))
    .digest("hex");
}

function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== "object" || value === null) return value;
  const entries = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
  return Object.fromEntries(entries.map(([key, one]) => [key, sorted(one)]));
}
