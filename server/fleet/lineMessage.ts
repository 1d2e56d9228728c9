import { createHash } from "node:crypto";
import { deflateRawSync, inflateRawSync } from "node:zlib";
import type { StoredLine } from "../store/store.ts";

// Lines of one start of one receiver as they lie in the stream: a line of JSON with the boot, and then each as sequence,
// time of day and text, parted by spaces, ended by a line feed, which no text has in it. Version 1.

/** A message small enough for NATS servers, which take 1 MB unless they are told otherwise. */
export interface LineMessage {
  /** Of the receiver, the boot and the sequences: what is sent again has the same. */
  readonly id: string;
  readonly lines: readonly StoredLine[];
  readonly bytes: Uint8Array;
}

/** More bytes are another message. */
export const MOST_BYTES = 256 * 1024;
/** The first byte of a message that had to be made smaller: a single line of that length is mostly spaces. */
const DEFLATED = 0;

/**
 * Lines in the order they came, as few messages: one holds lines of one boot.
 *
 * @param mostBytes Of a message of more than one line.
 */
export function lineMessages(
  receiverId: string,
  lines: readonly StoredLine[],
  mostBytes: number = MOST_BYTES,
): LineMessage[] {
  const messages: LineMessage[] = [];
  let some: StoredLine[] = [];
  let size = 0;
  const end = () => {
    if (some.length > 0) messages.push({ id: idOf(receiverId, some), lines: some, bytes: written(some, mostBytes) });
    some = [];
    size = 0;
  };
  for (const line of lines) {
    const bytes = Buffer.byteLength(line.text) + 50;
    if (size + bytes > mostBytes || some[0]?.boot !== line.boot) end();
    some.push(line);
    size += bytes;
  }
  end();
  return messages;
}

/** @throws RangeError for what was written by nobody of ours. */
export function readLineMessage(bytes: Uint8Array): StoredLine[] {
  const plain = bytes[0] === DEFLATED ? inflateRawSync(bytes.subarray(1)) : bytes;
  const [head = "", ...rows] = new TextDecoder().decode(plain).split("\n");
  const said: unknown = JSON.parse(head);
  if (typeof said !== "object" || said === null || !("v" in said) || !("boot" in said)) {
    throw new RangeError("a message without its head");
  }
  const { v, boot } = said;
  if (v !== 1 || typeof boot !== "string") throw new RangeError(`a message of version ${v}`);
  return rows.slice(0, -1).map((row) => {
    const first = row.indexOf(" ");
    const second = row.indexOf(" ", first + 1);
    return {
      boot,
      sequence: Number(row.slice(0, first)),
      receivedAt: row.slice(first + 1, second),
      text: row.slice(second + 1),
    };
  });
}

function written(lines: readonly StoredLine[], mostBytes: number): Uint8Array {
  const head = `${JSON.stringify({ v: 1, boot: lines[0]?.boot ?? "" })}\n`;
  const rows = lines.map(({ sequence, receivedAt, text }) => `${sequence} ${receivedAt} ${text}\n`);
  const bytes = Buffer.from(head + rows.join(""));
  return bytes.length < 2 * mostBytes ? bytes : Buffer.concat([Buffer.of(DEFLATED), deflateRawSync(bytes)]);
}

/** One line has `receiver/boot/sequence`; more than one, the first and last sequence and a hash of all. */
function idOf(receiverId: string, lines: readonly StoredLine[]): string {
  const [first] = lines;
  const last = lines.at(-1);
  if (!first || !last) throw new RangeError("no lines");
  // A receiver that tells no boot may count anew at any time: then its words tell what was sent again.
  const words = first.boot === "" ? lines.map(({ text }) => text) : [];
  const told = lines.length > 1 || words.length > 0 ? [...lines.map(({ sequence }) => sequence), ...words] : [];
  const hash =
    told.length > 0 ? `/${createHash("sha256").update(JSON.stringify(told)).digest("hex").slice(0, 16)}` : "";
  const range = lines.length > 1 ? `${first.sequence}-${last.sequence}` : first.sequence;
  return `${receiverId}/${encodeURIComponent(first.boot)}/${range}${hash}`;
}
