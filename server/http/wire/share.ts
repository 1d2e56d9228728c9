import { z } from "zod";

export const SharePartBody = z.strictObject({
  /** In words. */
  what: z.string(),
  isIn: z.boolean(),
});
export type SharePartBody = z.infer<typeof SharePartBody>;

export const ShareListBody = z.array(SharePartBody);
