import { z } from "zod";
import file from "./relearn.json" with { type: "json" };

/** One kind of relearn as it is shown. */
export interface Relearn {
  readonly name: string;
  /** In order, the maker's procedure first. */
  readonly steps: readonly { readonly do: string; readonly caution?: string | undefined }[];
  /** Examples, since makers differ, each with where it was read. */
  readonly facts: readonly { readonly says: string; readonly source: string; readonly status: string }[];
}

/**
 * The steps of a kind of relearn. They are generic and common practice, without a source but where a fact names one.
 *
 * @throws RangeError if the file has no such kind.
 */
export function relearnOf(id: RelearnId): Relearn {
  const { first, kinds } = relearnFile(file);
  const kind = kinds.find((one) => one.id === id);
  if (kind === undefined) throw new RangeError(`no such kind of relearn: ${id}`);
  return { name: kind.name, steps: [{ do: first }, ...kind.steps], facts: kind.facts };
}

/** Kinds of relearn. */
export const RELEARN_IDS = [
  "stationary",
  "driving",
  "diagnostic port",
  "located by the vehicle",
  "reset only",
  "not known",
] as const;
export type RelearnId = (typeof RELEARN_IDS)[number];

const RelearnFile = z.strictObject({
  first: z.string().min(1),
  kinds: z.array(
    z.strictObject({
      id: z.enum(RELEARN_IDS),
      name: z.string().min(1),
      steps: z.array(z.strictObject({ do: z.string().min(1), caution: z.string().min(1).optional() })).min(1),
      facts: z.array(
        z.strictObject({
          says: z.string().min(1),
          source: z.string().min(1),
          status: z.enum(["read", "read in a secondary text", "memory", "common practice, no source"]),
        }),
      ),
    }),
  ),
});

/** The file of kinds, checked; throws where it does not fit. */
export function relearnFile(content: unknown): z.infer<typeof RelearnFile> {
  return RelearnFile.parse(content);
}
