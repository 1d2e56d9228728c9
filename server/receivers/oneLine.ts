import type { Complaint } from "../../decoders/layouts/complaint.ts";
import { fail, type Result } from "../recordings/result.ts";
import { type LineJson, MAX_LINE_BYTES, parseLine } from "./line.ts";
import type { Line } from "./lines.ts";

/** What a line says, or every complaint about it; `undefined` for an empty one. A mark in front of the first is none. */
export function oneLine(line: Line): Result<LineJson, readonly Complaint[]> | undefined {
  if (line.kind === "too-long") {
    const found = `${line.byteCount} bytes`;
    return fail([{ path: "", found, allowed: `at most ${MAX_LINE_BYTES} bytes a line` }]);
  }
  if (isBlank(line.number === 1 ? withoutMark(line.bytes) : line.bytes)) return undefined;
  return parseLine(line.bytes);
}

function isBlank(bytes: Uint8Array): boolean {
  return bytes.every((byte) => byte === 0x20 || byte === 0x09 || byte === 0x0d);
}

function withoutMark(bytes: Uint8Array): Uint8Array {
  return bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? bytes.subarray(3) : bytes;
}
