import { resolve } from "node:path";
import { z } from "zod";
import { SAMPLE_TYPES } from "../../decoders/sources.ts";

/** A file or a folder that is not called what its path says, such as a recording that is kept under its hash. */
const NamedSource = z.strictObject({
  path: z.string().min(1),
  /** What results call it; below it a folder's files have their own names. */
  name: z.string().min(1),
  /** What a file does not say itself. */
  hints: z
    .strictObject({
      type: z.enum(SAMPLE_TYPES).optional(),
      rateHz: z.number().optional(),
      carrierHz: z.number().optional(),
    })
    .optional(),
  /** A sentence: why it cannot be used, where that is known already. */
  fault: z.string().optional(),
});
export type NamedSource = z.infer<typeof NamedSource>;

/** What a study is made of: paths of files and folders, or the same with a name. */
export const StudySource = z.union([z.string().min(1), NamedSource]);
export type StudySource = z.infer<typeof StudySource>;

/** Independent of where the process stands. */
export function absolute(source: StudySource): StudySource {
  return typeof source === "string" ? resolve(source) : { ...source, path: resolve(source.path) };
}

export function pathOf(source: StudySource): string {
  return typeof source === "string" ? source : source.path;
}
