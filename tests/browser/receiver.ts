import { connect } from "node:net";
import { linesFrom } from "../support/samples.ts";

/** The lines of a sample as a receiver would say them now, the hello first: its times are moved to this moment. */
export function sampleLines(name: string): readonly string[] {
  return linesFrom(name, new Date()).trimEnd().split("\n");
}

/** The same in two parts: the lines before the first burst, and those from it on. */
export function sampleParts(name: string): readonly [readonly string[], readonly string[]] {
  const lines = sampleLines(name);
  const firstBurst = lines.findIndex((line) => line.includes('"type":"burst"'));
  return [lines.slice(0, firstBurst), lines.slice(firstBurst)];
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
