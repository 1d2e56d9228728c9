import { z } from "zod";
import { type Complaint, complaintsOf, shown } from "../../decoders/layouts/complaint.ts";
import type { ReceiverLine } from "../../decoders/sources.ts";
import { readJson } from "../recordings/json.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import { nanosecondsOf } from "./timeOfDay.ts";

export const MAX_LINE_BYTES = 2 ** 20;
const MAX_SYMBOLS = 65_536;

const sequence = z.int().min(0);
const at = z
  .string()
  .max(64)
  .refine((text) => nanosecondsOf(text) !== undefined, "a time in UTC such as 2026-01-02T03:04:05.123456Z");
const carrierHz = z.number().positive().max(1e11);
const level = z.number().min(-300).max(300);
const word = z.string().min(1).max(200);

const Burst = z.strictObject({
  type: z.literal("burst"),
  sequence,
  at,
  carrierHz,
  offsetHz: z.number().min(-1e9).max(1e9).optional(),
  modulation: z.enum(["ask", "fsk"]),
  symbolRate: z.number().positive().max(1e7),
  symbols: z
    .string()
    .max(MAX_SYMBOLS / 4)
    .regex(/^[0-9a-fA-F]+$/, "hex digits"),
  symbolCount: z.int().min(1).max(MAX_SYMBOLS),
  confidence: z.base64().optional(),
  rssiDbm: level.optional(),
  noiseDbm: level.optional(),
});

/** What a receiver may say, one line each. */
const LineShape = z.discriminatedUnion("type", [
  z.strictObject({
    type: z.literal("hello"),
    receiver: word,
    protocol: z.literal(1),
    boot: word.optional(),
    carrierHz: z.array(carrierHz).max(64).optional(),
    firmware: word.optional(),
    /** Of a receiver that comes in from the network. */
    key: word.optional(),
  }),
  Burst,
  z.strictObject({ type: z.literal("wake"), sequence, at, position: word.optional() }),
  z.strictObject({ type: z.literal("level"), sequence, at, carrierHz, dbm: level }),
  z.strictObject({ type: z.literal("lost"), sequence, count: z.int().min(1), from: z.int().min(0).optional() }),
]);
export type LineJson = z.infer<typeof LineShape>;

/**
 * A line as the receiver wrote it, checked key by key, or every complaint about it.
 *
 * @param bytes UTF-8, without the line end. Never throws.
 */
export function parseLine(bytes: Uint8Array): Result<LineJson, readonly Complaint[]> {
  const json = readJson(bytes);
  if (!json.ok) {
    const { byte, found, allowed } = json.error;
    return fail([{ path: `byte ${byte}`, found, allowed }]);
  }
  const parsed = LineShape.safeParse(json.value);
  if (!parsed.success) return fail(complaintsOf(parsed.error, json.value));
  const complaints = parsed.data.type === "burst" ? countComplaints(parsed.data) : [];
  return complaints.length > 0 ? fail(complaints) : succeed(parsed.data);
}

/**
 * A checked line as the decoders take it.
 *
 * @param atSeconds Of a line that has a time.
 */
export function receiverLine(line: LineJson, atSeconds: number): ReceiverLine {
  switch (line.type) {
    case "hello":
      return { type: "hello" };
    case "wake":
      return { type: "wake", atSeconds };
    case "level":
      return { type: "level", atSeconds, carrierHz: line.carrierHz, dbm: line.dbm };
    case "lost":
      return { type: "lost", count: line.count };
    case "burst":
      return {
        type: "burst",
        sequence: line.sequence,
        atSeconds,
        carrierHz: line.carrierHz,
        offsetHz: line.offsetHz,
        modulation: line.modulation,
        symbolRate: line.symbolRate,
        symbols: symbolsOf(line.symbols, line.symbolCount),
        confidence: line.confidence === undefined ? undefined : new Uint8Array(Buffer.from(line.confidence, "base64")),
        rssiDbm: line.rssiDbm,
        noiseDbm: line.noiseDbm,
      };
  }
}

/** The hex, its padding and the confidence must all be of `symbolCount` symbols. */
function countComplaints(line: z.infer<typeof Burst>): Complaint[] {
  const { symbols, symbolCount, confidence } = line;
  // Padded to the whole digit, or to the whole byte.
  const digits = [Math.ceil(symbolCount / 4), 2 * Math.ceil(symbolCount / 8)];
  if (!digits.includes(symbols.length)) {
    const allowed = `${[...new Set(digits)].join(" or ")} hex digits for ${symbolCount} symbols`;
    return [{ path: "symbols", found: `${symbols.length} hex digits`, allowed }];
  }
  // At most seven of them, in the last two digits.
  const padding = 2 ** (4 * symbols.length - symbolCount) - 1;
  if ((Number.parseInt(symbols.slice(-2), 16) & padding) !== 0) {
    return [{ path: "symbols", found: shown(symbols), allowed: `zero bits after the ${symbolCount} symbols` }];
  }
  if (confidence === undefined) return [];
  const length = base64Bytes(confidence);
  if (length === symbolCount) return [];
  return [{ path: "confidence", found: `${length} bytes`, allowed: `${symbolCount}, one a symbol` }];
}

/** How many bytes the text stands for; the schema has seen to its form. */
function base64Bytes(text: string): number {
  const padding = text.endsWith("==") ? 2 : text.endsWith("=") ? 1 : 0;
  return (3 * text.length) / 4 - padding;
}

function symbolsOf(hex: string, count: number): Uint8Array {
  const symbols = new Uint8Array(count);
  for (let i = 0; i < count; i += 4) {
    const code = hex.charCodeAt(i >> 2);
    const digit = code <= 57 ? code - 48 : (code & 0xdf) - 55; // 0 to 9, or a letter of either case
    symbols[i] = digit >> 3;
    if (i + 1 < count) symbols[i + 1] = (digit >> 2) & 1;
    if (i + 2 < count) symbols[i + 2] = (digit >> 1) & 1;
    if (i + 3 < count) symbols[i + 3] = digit & 1;
  }
  return symbols;
}
