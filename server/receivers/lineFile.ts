import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";
import { complaintLine } from "../../decoders/layouts/complaint.ts";
import type { LineSource, ReceiverLine } from "../../decoders/sources.ts";
import { fileError, InputError, printable } from "../recordings/inputError.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import { type LineJson, MAX_LINE_BYTES, receiverLine } from "./line.ts";
import { type Line, lineSplitter } from "./lines.ts";
import { oneLine } from "./oneLine.ts";
import { repeatFilter } from "./repeats.ts";
import { nanosecondsOf } from "./timeOfDay.ts";

/**
 * A file of receiver lines. The good ones are handed on, with seconds since the first time in the file; each bad one is
 * told to `complain` as one line `FILE:LINE: KEY: …`. Empty lines and a byte order mark in front are passed over; what a
 * receiver sent twice is handed on once.
 *
 * @param onStart Told of the time of day from which the seconds count.
 * @returns The source, or why it cannot be read. A file without any line is found out only when it is read: the iterator
 *   of `lines` then throws InputError.
 */
export async function openLineFile(
  path: string,
  complain: (line: string) => void,
  onStart: (at: string) => void = () => undefined,
): Promise<Result<LineSource, InputError>> {
  try {
    const info = await stat(path);
    if (info.isDirectory()) return fail(new InputError(path, "file", "a folder", "receiver lines"));
    if (info.isFile() && info.size === 0) return fail(empty(path));
    return succeed({
      kind: "lines",
      file: path,
      lines: { [Symbol.asyncIterator]: () => readLines(path, complain, onStart) },
    });
  } catch (error) {
    return fail(fileError(path, error, "receiver lines"));
  }
}

async function* readLines(
  path: string,
  complain: (line: string) => void,
  onStart: (at: string) => void,
): AsyncGenerator<ReceiverLine, void, undefined> {
  const splitter = lineSplitter(MAX_LINE_BYTES);
  const isNew = repeatFilter();
  let lineCount = 0;
  let firstNs: bigint | undefined;

  function* taken(lines: readonly Line[]): Generator<ReceiverLine, void, undefined> {
    for (const line of lines) {
      const parsed = readLine(line);
      if (parsed === undefined) continue;
      lineCount++;
      if (typeof parsed === "string") {
        complain(`${printable(path)}:${line.number}: ${parsed}`);
        continue;
      }
      if (!isNew(parsed)) continue;
      const ns = "at" in parsed ? nanosecondsOf(parsed.at) : undefined;
      if (firstNs === undefined && "at" in parsed) onStart(parsed.at);
      firstNs ??= ns;
      yield receiverLine(parsed, Number((ns ?? 0n) - (firstNs ?? 0n)) / 1e9);
    }
  }

  try {
    const stream: AsyncIterable<Uint8Array> = createReadStream(path);
    for await (const chunk of stream) yield* taken(splitter.push(chunk));
    yield* taken(splitter.end());
  } catch (error) {
    throw fileError(path, error, "receiver lines");
  }
  if (lineCount === 0) throw empty(path);
}

/** The line, or what is wrong with it; `undefined` for an empty one. */
function readLine(line: Line): LineJson | string | undefined {
  const parsed = oneLine(line);
  if (parsed === undefined || parsed.ok) return parsed?.value;
  const [first, ...more] = parsed.error;
  if (!first) throw new RangeError("a line was refused without a complaint");
  return complaintLine(first) + (more.length > 0 ? ` (and ${more.length} more like it)` : "");
}

function empty(path: string): InputError {
  return new InputError(path, "byte 0", "no lines, it is empty", "at least one receiver line");
}
