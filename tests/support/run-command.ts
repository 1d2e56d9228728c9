import { Writable } from "node:stream";
import { run } from "../../server/cli/run.ts";

export interface Ran {
  readonly status: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs a command line in this process and gives back what a shell would see of it. */
export async function runCommand(
  args: readonly string[],
  options: { readonly stdin?: Uint8Array; readonly interrupted?: Promise<void> } = {},
): Promise<Ran> {
  const stdout = collector();
  const stderr = collector();
  const status = await run(args, {
    stdin: piped(options.stdin),
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

async function* piped(bytes: Uint8Array = new Uint8Array(0)): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < bytes.length; at += 65536) yield bytes.subarray(at, at + 65536);
}
