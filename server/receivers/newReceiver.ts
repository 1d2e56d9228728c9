import { z } from "zod";

const name = z.string().min(1).max(80);
const port = z.int().min(0).max(65535);

/** What is said of a receiver to set it up, by another program or in a file. */
export const NewReceiverShape = z.discriminatedUnion("kind", [
  z.strictObject({
    kind: z.literal("serial"),
    name,
    path: z.string().min(1).max(400),
    baudRate: z.int().min(50).max(4_000_000),
  }),
  z.strictObject({ kind: z.literal("tcp"), name, port }),
  z.strictObject({ kind: z.literal("samples"), name, port }),
  z.strictObject({
    kind: z.literal("replay"),
    name,
    path: z.string().min(1).max(4000),
    speed: z.number().positive().max(1e6),
  }),
]);
