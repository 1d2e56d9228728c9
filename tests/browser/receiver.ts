import { readFileSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import { top } from "./house.ts";

/** The lines of a sample as a receiver would say them now, the hello first: its times are moved to this moment. */
export function sampleLines(name: string): readonly string[] {
  const lines = readFileSync(join(top, "samples", `${name}.ndjson`), "utf8").split("\n");
  const said: readonly { readonly at?: string }[] = lines.filter((line) => line !== "").map((line) => JSON.parse(line));
  const firstAt = said.find(({ at }) => at !== undefined)?.at;
  if (firstAt === undefined) throw new Error(`${name} has no line with a time`);
  const laterMs = Date.now() - Date.parse(firstAt);
  return said.map((line) => JSON.stringify(line.at === undefined ? line : { ...line, at: moved(line.at, laterMs) }));
}

/** Dates know milliseconds; the microseconds stay as they were. */
function moved(at: string, laterMs: number): string {
  const micros = /\.\d{3}(\d{3})Z$/.exec(at)?.[1] ?? "000";
  return new Date(Date.parse(at) + laterMs).toISOString().replace("Z", `${micros}Z`);
}

/** A receiver that speaks over TCP to the server that listens at `port`. */
export interface Receiver {
  readonly send: (lines: readonly string[]) => Promise<void>;
  /** The last sequence that the server acknowledged; -1 before the first. */
  readonly acknowledged: () => number;
  readonly close: () => void;
}

export async function connectReceiver(port: number): Promise<Receiver> {
  const socket = connect(port, "127.0.0.1");
  let acknowledged = -1;
  let rest = "";
  socket.on("data", (bytes) => {
    const lines = (rest + bytes.toString()).split("\n");
    rest = lines.pop() ?? "";
    for (const line of lines) {
      const answer: { type?: string; sequence?: number } = JSON.parse(line);
      if (answer.type === "ack" && answer.sequence !== undefined) acknowledged = answer.sequence;
    }
  });
  await new Promise<void>((resume, fail) => socket.once("connect", resume).once("error", fail));
  socket.on("error", () => undefined); // a server that is killed breaks the connection
  return {
    send: (lines) => new Promise((resume) => socket.write(`${lines.join("\n")}\n`, () => resume())),
    acknowledged: () => acknowledged,
    close: () => socket.destroy(),
  };
}
