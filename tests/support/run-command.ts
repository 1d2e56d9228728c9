import { Writable } from "node:stream";
import { run } from "../../server/cli/run.ts";

export interface Ran {
  readonly status: number;
  readonly stdout: string;
  readonly stderr: string;
}

export interface Given {
  readonly stdin?: Uint8Array;
  readonly interrupted?: Promise<void>;
  /** Called once all of `stdin` was taken; the stream then stays open without a word. */
  readonly atEnd?: () => void;
}

/** Runs a command line in this process and gives back what a shell would see of it. */
export async function runCommand(args: readonly string[], options: Given = {}): Promise<Ran> {
  const stdout = collector();
  const stderr = collector();
  const status = await run(args, {
    stdin: piped(options),
    stdout: stdout.stream,
    stderr: stderr.stream,
    interrupted: options.interrupted ?? new Promise(() => undefined),
  });
  return { status, stdout: stdout.text(), stderr: stderr.text() };
}

function collector(): { readonly stream: Writable; readonly text: () => string } {
  const chunks: Buffer[] = [];
  const stream = new Writable({
    write(chunk: Buffer, _, done) {
      chunks.push(chunk);
      done();
    },
  });
  return { stream, text: () => Buffer.concat(chunks).toString() };
}

async function* piped({ stdin = new Uint8Array(0), atEnd }: Given): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < stdin.length; at += 65536) yield stdin.subarray(at, at + 65536);
  if (!atEnd) return;
  atEnd();
  await new Promise(() => undefined);
}
