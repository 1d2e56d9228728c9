import { run } from "./run.ts";

// The only place that knows the process: its arguments, streams and signals.

const interrupted = new Promise<void>((resolve) => {
  process.once("SIGINT", () => resolve());
});

const status = await run(process.argv.slice(2), {
  stdin: process.stdin,
  stdout: process.stdout,
  stderr: process.stderr,
  interrupted,
  // Listened for only where it is asked for: every other command is ended by it at once.
  terminated: () => new Promise((resolve) => process.once("SIGTERM", () => resolve())),
});
process.exitCode = status;
// A stream that was left in the middle would keep the process waiting.
if (status === 130) process.stdout.write("", () => process.exit(status));
