import { shown } from "../../decoders/layouts/complaint.ts";
import { fail, type Result, succeed } from "./result.ts";

/** Why bytes are not JSON: where, what stands there, what would be taken. */
export interface JsonFault {
  readonly byte: number;
  readonly found: string;
  readonly allowed: string;
}

/** Deeper nesting has no use in any file we read, and would exhaust the stack of whoever walks it. */
const MAX_DEPTH = 100;

/**
 * The JSON value that UTF-8 bytes stand for, or the byte at which they stop to be JSON.
 *
 * A byte order mark in front is passed over: it says nothing that UTF-8 leaves open.
 */
export function readJson(bytes: Uint8Array): Result<unknown, JsonFault> {
  const decoded = decodeUtf8(bytes);
  if (!decoded.ok) return decoded;
  const text = decoded.value;
  const quick = isShallow(text) ? parsed(text) : undefined;
  if (quick) return succeed(quick.value);
  const fault = scan(text);
  if (fault) {
    const bom = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
    return fail({ ...fault, byte: bom + Buffer.byteLength(text.slice(0, fault.byte)) });
  }
  return succeed(JSON.parse(text));
}

/** Too few brackets to be nested deeper than is taken, whatever stands in them. */
function isShallow(text: string): boolean {
  let brackets = 0;
  for (const bracket of ["{", "["]) {
    for (let at = text.indexOf(bracket); at >= 0; at = text.indexOf(bracket, at + 1)) {
      if (++brackets > MAX_DEPTH) return false;
    }
  }
  return true;
}

function parsed(text: string): { readonly value: unknown } | undefined {
  try {
    return { value: JSON.parse(text) };
  } catch {
    return undefined; // where it stops to be JSON is then looked for
  }
}

/** The text of UTF-8 bytes without a byte order mark, or the first byte that is not UTF-8. */
export function decodeUtf8(bytes: Uint8Array): Result<string, JsonFault> {
  try {
    return succeed(new TextDecoder("utf-8", { fatal: true }).decode(bytes));
  } catch {
    const byte = firstBadByte(bytes);
    const found = byte < bytes.length ? `0x${bytes[byte]?.toString(16).padStart(2, "0")}` : "half a character";
    return fail({ byte, found, allowed: "UTF-8" });
  }
}

/** Halving finds the longest start that is UTF-8, up to a character that may still be completed. */
function firstBadByte(bytes: Uint8Array): number {
  let good = 0;
  let bad = bytes.length + 1;
  while (bad - good > 1) {
    const middle = (good + bad) >> 1;
    try {
      new TextDecoder("utf-8", { fatal: true }).decode(bytes.subarray(0, middle), { stream: true });
      good = middle;
    } catch {
      bad = middle;
    }
  }
  return good;
}

/**
 * The first fault of a JSON text, `byte` counted in UTF-16 units; `undefined` for JSON no deeper than MAX_DEPTH.
 *
 * The engine's own parser does not always say where it stopped, and does not mind any depth.
 *
 * @source RFC 8259, sections 2 to 7.
 */
function scan(text: string): JsonFault | undefined {
  const closers: string[] = []; // of the containers we are in
  let expect: "value" | "value or ]" | "key" | "key or }" | "colon" | "comma" = "value";
  let i = blanksEnd(text, 0);
  while (i < text.length) {
    const char = text[i]!;
    if (expect === "comma" && closers.length === 0) return faultAt(text, i, "nothing after the JSON value");
    if (expect === "colon") {
      if (char !== ":") return faultAt(text, i, "a colon");
      expect = "value";
      i++;
    } else if (char === closers.at(-1) && (expect === "comma" || expect.endsWith(char))) {
      closers.pop();
      expect = "comma";
      i++;
    } else if (expect === "comma") {
      if (char !== ",") return faultAt(text, i, `a comma or ${closers.at(-1)}`);
      expect = closers.at(-1) === "}" ? "key" : "value";
      i++;
    } else if (expect.startsWith("key")) {
      const end = stringEnd(text, i);
      if (end < 0) return faultAt(text, ~end, "a key in quotes");
      expect = "colon";
      i = end;
    } else if (char === "{" || char === "[") {
      if (closers.length === MAX_DEPTH) return faultAt(text, i, `at most ${MAX_DEPTH} brackets inside each other`);
      closers.push(char === "{" ? "}" : "]");
      expect = char === "{" ? "key or }" : "value or ]";
      i++;
    } else {
      const end = char === '"' ? stringEnd(text, i) : wordEnd(text, i);
      if (end < 0) return faultAt(text, ~end, "a JSON value");
      expect = "comma";
      i = end;
    }
    i = blanksEnd(text, i);
  }
  return expect === "comma" && closers.length === 0 ? undefined : faultAt(text, i, "more JSON");
}

function faultAt(text: string, i: number, allowed: string): JsonFault {
  return { byte: i, found: i < text.length ? shown(String.fromCodePoint(text.codePointAt(i)!)) : "the end", allowed };
}

function blanksEnd(text: string, from: number): number {
  let i = from;
  for (; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code !== 0x20 && code !== 0x0a && code !== 0x0d && code !== 0x09) break;
  }
  return i;
}

/** One past the string that starts at `from`, or the complement (`~`) of where it is broken. */
function stringEnd(text: string, from: number): number {
  if (text[from] !== '"') return ~from;
  for (let i = from + 1; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === 0x22) return i + 1;
    if (code < 0x20) return ~i;
    if (code !== 0x5c) continue;
    const length = tokenLength(/\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4})/y, text, i);
    if (length === 0) return ~i;
    i += length - 1;
  }
  return ~text.length;
}

/** One past the number or the word that starts at `from`, or the complement (`~`) of `from`. */
function wordEnd(text: string, from: number): number {
  const length = tokenLength(/-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?|true|false|null/y, text, from);
  return length === 0 ? ~from : from + length;
}

function tokenLength(token: RegExp, text: string, from: number): number {
  token.lastIndex = from;
  return token.exec(text)?.[0].length ?? 0;
}
