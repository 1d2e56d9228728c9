import { z } from "zod";

/** How long and how much of what receivers said is kept; `null`: without a limit. */
export const KeepingChoiceBody = z.strictObject({
  months: z.number().min(0.1).max(1200).nullable(),
  gigabytes: z.number().min(0.001).max(100_000).nullable(),
});

export const KeepingBody = z.strictObject({
  months: z.number().nullable(),
  gigabytes: z.number().nullable(),
  /** Of the store, without the samples of recordings. */
  usedBytes: z.number(),
  /** What goes by this choice: all from before a moment, but for what was heard on visits of jobs. */
  goes: z
    .strictObject({
      before: z.string(),
      lines: z.int(),
      bursts: z.int(),
      telegrams: z.int(),
      /** Lines that did not fit. */
      aside: z.int(),
    })
    .nullable(),
});
export type KeepingBody = z.infer<typeof KeepingBody>;
