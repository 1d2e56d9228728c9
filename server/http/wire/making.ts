import { z } from "zod";
import { BurstBody, SpectrumBody, TelegramBody } from "../wire.ts";

// One telegram that somebody writes and breaks, over the wire.

export const MOST_SHIFT_KHZ = 160;
export const MOST_CLOCK_PERCENT = 5;
const LEAST_EBN0_DB = 0;
export const MOST_EBN0_DB = 45;

const place = z.int().min(0).max(65_535);

/** What is wrong with it; nothing where it is left out. */
export const BreaksBody = z.strictObject({
  /** Frame bits that are turned after the check value was worked out. */
  flipBits: z.array(place).max(64).optional(),
  /** Symbols that are turned, counted from the first one of the frame. */
  flipSymbols: z.array(place).max(64).optional(),
  /** That many at the end of the sync are not sent. */
  cutSyncSymbols: z.int().min(0).max(512).optional(),
  /** Likewise at the end of the frame. */
  cutEndSymbols: z.int().min(0).max(8192).optional(),
  carrierShiftKhz: z.number().min(-MOST_SHIFT_KHZ).max(MOST_SHIFT_KHZ).optional(),
  /** By how much its clock is fast. */
  clockPercent: z.number().min(-MOST_CLOCK_PERCENT).max(MOST_CLOCK_PERCENT).optional(),
  /** 35 where it is left out. */
  ebN0Db: z.number().min(LEAST_EBN0_DB).max(MOST_EBN0_DB).optional(),
});
export type BreaksBody = z.infer<typeof BreaksBody>;

export const MakingNewBody = z.strictObject({
  /** Of a layout that comes with Wheelgram. */
  layout: z.string().max(64),
  /**
   * By field: an identity's hex digits, a code's word, true or false of a flag, else a number in the field's unit and
   * reference. A field that is left out is 0.
   */
  values: z.record(z.string().max(80), z.union([z.number(), z.string().max(80), z.boolean()])),
  breaks: BreaksBody.optional(),
  /** Of the noise; the same one gives the same recording. 1 where it is left out. */
  seed: z.int().min(0).max(2_147_483_647).optional(),
});
export type MakingNewBody = z.infer<typeof MakingNewBody>;

const bitText = z.string().regex(/^[01]*$/);

const CheckValueBody = z.strictObject({
  /** Such as `crc of 8 bits`. */
  kind: z.string(),
  at: z.int().min(0),
  width: z.int().min(1),
  /** Worked out, in hex. */
  value: z.string(),
});

export const MakingBody = z.strictObject({
  layout: z.string(),
  /** As it was meant: one 0 or 1 for each bit of the frame. */
  bits: bitText,
  /** As it is sent, with what was turned. */
  sentBits: bitText,
  checkValues: z.array(CheckValueBody),
  /** By field, as the frame holds it: rounded to what its bits can say. */
  fields: z.record(z.string(), z.union([z.number(), z.string(), z.boolean()]).nullable()),
  /** As it goes on air. */
  symbols: z.strictObject({ preamble: bitText, sync: bitText, frame: bitText }),
  symbolRate: z.number(),
  carrierHz: z.number(),
  /** When its first symbol begins, in the recording. */
  atSeconds: z.number(),
  durationSeconds: z.number(),
  sampleRateHz: z.number(),
  /**
   * `read`: verified, with the bits as they were meant. `other`: verified with others. `unsure`: read, but its check
   * could be right by chance. `missed`: not read.
   */
  outcome: z.enum(["read", "other", "unsure", "missed"]),
  /** `null`: nobody saw a burst there. */
  burst: BurstBody.nullable(),
  telegram: TelegramBody.nullable(),
  /** Of the burst, or of the recording where there is none. */
  rungs: BurstBody.shape.rungs,
  /** Level and frequency in columns, least and most of each; linear, full scale 1. */
  picture: z.strictObject({
    fromSeconds: z.number(),
    toSeconds: z.number(),
    least: z.array(z.number()),
    most: z.array(z.number()),
    lowestHz: z.array(z.number().nullable()),
    highestHz: z.array(z.number().nullable()),
  }),
  spectrum: SpectrumBody,
  /** Samples in a row from the first symbol of the frame on. */
  samples: z.strictObject({ fromSeconds: z.number(), i: z.array(z.number()), q: z.array(z.number()) }),
});
export type MakingBody = z.infer<typeof MakingBody>;
