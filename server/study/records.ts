import { createReadStream } from "node:fs";
import type { AnalysisRecord } from "../../decoders/records.ts";

/** Records that are written together. */
const TOGETHER = 200;

/**
 * The records of an input as its study keeps them: with its name for the file, and without the speed of the machine, so
 * that they are the same wherever they were made.
 */
export function* recordLines(records: readonly AnalysisRecord[], name: string): Generator<string> {
  for (let from = 0; from < records.length; from += TOGETHER) {
    let text = "";
    for (const record of records.slice(from, from + TOGETHER)) {
      const kept =
        record.kind === "summary" ? { ...record, file: name, samplesPerSecond: null } : { ...record, file: name };
      text += `${JSON.stringify(kept)}\n`;
    }
    yield text;
  }
}

/** What `recordLines` has written to a file, record by record. */
export async function* readRecords(path: string): AsyncGenerator<AnalysisRecord, void, undefined> {
  // Not by readline: it also takes some characters for ends of lines that JSON leaves as they are.
  let rest = "";
  for await (const chunk of createReadStream(path, { encoding: "utf8" })) {
    const lines = (rest + String(chunk)).split("\n");
    rest = lines.pop() ?? "";
    for (const line of lines) {
      // A study reads only what it has written itself, whole.
      const record: AnalysisRecord = JSON.parse(line);
      yield record;
    }
  }
}
