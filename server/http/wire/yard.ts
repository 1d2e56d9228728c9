import { z } from "zod";

// A yard of senders that do not listen to each other, over the wire.

/** Of all telegrams of a play, with their copies: more would keep the page waiting. */
export const MOST_COPIES = 300;

export const YardPlayNewBody = z.strictObject({
  sensors: z.int().min(2).max(100),
  /** From one telegram of a sensor to its next, on average. */
  periodSeconds: z.number().min(0.05).max(60),
  telegramMs: z.number().min(4).max(40),
  /** Length of the recording. */
  seconds: z.number().min(1).max(20),
  /** Each telegram goes out so often, at moments of their own; 1 where it is left out. */
  copies: z.int().min(1).max(4).optional(),
  /** The loudest sensor may be so much above the weakest; 12 where it is left out. */
  levelSpreadDb: z.number().min(0).max(30).optional(),
  /** `varied`, where it is left out: pauses differ by up to half. `strict`: only by the clocks. */
  timing: z.enum(["varied", "strict"]).optional(),
  /** The same seed, the same yard; by chance where it is left out. */
  seed: z.int().min(0).max(2_147_483_647).optional(),
});
export type YardPlayNewBody = z.infer<typeof YardPlayNewBody>;

const count = z.int().min(0);
const share = z.number().min(0).max(1);

/** A share that was counted, with the one that ALOHA says. */
const SharesBody = z.strictObject({
  /** `null`: nothing was sent. */
  measured: share.nullable(),
  /** At 95 %; `null` where it cannot be told. */
  from: share.nullable(),
  to: share.nullable(),
  aloha: share,
});

const SentCopyBody = z.strictObject({
  /** From 1. */
  sensor: z.int().min(1),
  /** Of the telegram, from 0 for each sensor. */
  number: count,
  atSeconds: z.number(),
  /** Another one was on air at some moment of it; by the times at which they were sent. */
  overlapped: z.boolean(),
  /** The decoder gave its very bits. */
  read: z.boolean(),
});
export type SentCopyBody = z.infer<typeof SentCopyBody>;

export const YardPlayBody = z.strictObject({
  asked: YardPlayNewBody.required(),
  sampleRateHz: z.number(),
  telegramSeconds: z.number(),
  /** Telegrams on air per telegram's length, all copies counted. */
  load: z.number(),
  copies: z.strictObject({
    sent: count,
    read: count,
    overlapped: count,
    /** Read in spite of the overlap: a real receiver is better than ALOHA says. */
    overlappedRead: count,
    /** Lost though no other was on air: mostly right behind a louder one. */
    aloneLost: count,
    /** What the decoder gave that was never sent. */
    misread: count,
  }),
  /** Read where one of their copies was. */
  telegrams: z.strictObject({
    sent: count,
    read: count,
    allOverlapped: count,
    /** The share of which ALOHA says that all copies are hit. */
    allHitAloha: share,
  }),
  /** Of all copies sent. */
  overlap: SharesBody,
  /** Likewise what was read; ALOHA takes every overlap for a loss. */
  success: SharesBody,
  /** Part of the time that was filled with what was read. */
  throughput: SharesBody,
  /** Why there is no interval, or what it stands on. */
  because: z.string(),
  sent: z.array(SentCopyBody),
});
export type YardPlayBody = z.infer<typeof YardPlayBody>;
