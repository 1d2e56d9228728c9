import { z } from "zod";

// What a fleet is at this moment: shown by the command, on the page, and told as metrics.

const StreamShape = z.strictObject({
  name: z.string(),
  /** What of the fleet lies in it, in words. */
  holds: z.string(),
  /** `null`: none at the moment, so that nothing can be written. */
  leader: z.string().nullable(),
  /** All servers that keep it, the one that leads included. */
  copies: z.array(
    z.strictObject({ server: z.string(), state: z.enum(["leads", "current", "behind", "gone"]), behind: z.int() }),
  ),
  messages: z.int(),
  bytes: z.number(),
});
export type StreamStatus = z.infer<typeof StreamShape>;

export const FleetShape = z.strictObject({
  at: z.string(),
  /** What is wrong, worst first, each with what to do. */
  troubles: z.array(
    z.strictObject({ strength: z.enum(["look here", "stop"]), says: z.string(), nextStep: z.string() }),
  ),
  nats: z.strictObject({
    /** Of the server whose connection is used; `null`: there is none. */
    by: z.string().nullable(),
    servers: z.array(
      z.strictObject({
        address: z.string(),
        /** `null`: it does not answer, and never said. */
        name: z.string().nullable(),
        version: z.string().nullable(),
        answers: z.boolean(),
        /** How many streams it leads; `null` where that is not known. */
        leads: z.int().nullable(),
      }),
    ),
    /** `null`: they could not be asked, as without a quorum. */
    streams: z.array(StreamShape).nullable(),
  }),
  store: z.strictObject({ answers: z.boolean(), because: z.string().nullable() }),
  receivers: z.array(
    z.strictObject({
      id: z.string(),
      name: z.string(),
      /** The server that it is connected to. */
      home: z.string().nullable(),
      /** What its link said last. */
      state: z.string().nullable(),
      /** When the last of its lines that is stored came. */
      lastHeardAt: z.string().nullable(),
    }),
  ),
  members: z.array(
    z.strictObject({
      kind: z.enum(["server", "worker"]),
      name: z.string(),
      since: z.string(),
      version: z.string(),
      partitions: z.array(z.int()),
      busy: z.array(z.string()),
      counts: z.record(z.string(), z.number()),
    }),
  ),
  /** `null`: not known, as the servers that know do not answer. */
  lag: z.strictObject({
    /** Messages of receivers' lines from the first one that is not stored on: at most so many wait. */
    lines: z.int().nullable(),
    oldestLineSeconds: z.number().nullable(),
    /** Recordings and inputs of studies that nobody has taken yet. */
    work: z.int().nullable(),
    /** Those that a worker is at. */
    workRunning: z.int().nullable(),
    oldestWorkSeconds: z.number().nullable(),
  }),
  aside: z.array(
    z.strictObject({
      id: z.string(),
      kind: z.enum(["recording", "input"]),
      name: z.string(),
      tries: z.int(),
      because: z.string(),
      at: z.string(),
      worker: z.string(),
    }),
  ),
});
export type FleetStatus = z.infer<typeof FleetShape>;
