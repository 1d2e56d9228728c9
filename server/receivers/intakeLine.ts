import { complaintLine } from "../../decoders/layouts/complaint.ts";
import { readJson } from "../recordings/json.ts";
import type { LineJson } from "./line.ts";
import type { Line } from "./lines.ts";
import { oneLine } from "./oneLine.ts";

type HelloJson = Extract<LineJson, { readonly type: "hello" }>;

export interface HelloLine {
  readonly kind: "hello";
  readonly line: HelloJson;
  readonly byteCount: number;
}

export interface GoodLine {
  readonly kind: "good";
  readonly line: Exclude<LineJson, HelloJson>;
  readonly sequence: number;
  readonly text: string;
  readonly byteCount: number;
}

/** A line that does not fit. */
export interface BadLine {
  readonly kind: "bad";
  /** Where it can be read all the same. */
  readonly sequence: number | undefined;
  readonly text: string;
  readonly because: string;
  readonly path: string;
  readonly byteCount: number;
}

export type TakenLine = HelloLine | GoodLine | BadLine;

/**
 * A line from the splitter, judged. `undefined` for an empty one.
 *
 * @param brokenOff Its end never came. One that is whole all the same is taken; of any other that is what is wrong.
 */
export function takeLine(line: Line, brokenOff: boolean): TakenLine | undefined {
  const parsed = oneLine(line);
  if (!parsed) return undefined;
  const bytes = line.kind === "line" ? line.bytes : new Uint8Array(0);
  const byteCount = bytes.length;
  const text = new TextDecoder().decode(bytes);
  if (parsed.ok) {
    if (parsed.value.type === "hello") return { kind: "hello", line: parsed.value, byteCount };
    return { kind: "good", line: parsed.value, sequence: parsed.value.sequence, text, byteCount };
  }
  const [first, ...more] = parsed.error;
  if (!first) throw new RangeError("a line was refused without a complaint");
  const rest = more.length > 0 ? `; also ${more.map(complaintLine).join("; ")}` : "";
  return {
    kind: "bad",
    sequence: sequenceOf(bytes),
    text,
    because: brokenOff
      ? "the connection ended in the middle of this line; the receiver has to send it again"
      : `found ${first.found}, allowed ${first.allowed}${rest}`,
    path: brokenOff ? "the whole" : first.path || "the whole",
    byteCount,
  };
}

export function answerToBadLine({ because, path }: BadLine): string {
  return JSON.stringify({ type: "error", because, path });
}

function sequenceOf(bytes: Uint8Array): number | undefined {
  const json = readJson(bytes);
  if (!json.ok || typeof json.value !== "object" || json.value === null) return undefined;
  const sequence: unknown = "sequence" in json.value ? json.value.sequence : undefined;
  return typeof sequence === "number" && Number.isSafeInteger(sequence) && sequence >= 0 ? sequence : undefined;
}
