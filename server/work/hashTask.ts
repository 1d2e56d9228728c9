import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { BLOCK_BYTES } from "../recordings/blocks.ts";
import { InputError } from "../recordings/inputError.ts";
import { openSource } from "./openSource.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** SHA-512 of a recording's sample bytes, or of a file of receiver lines, each of which is looked at. */
export function hashTask(order: OrderOf<"hash">, say: Say): RunningTask {
  let cancelled = false;
  return {
    take(message) {
      if (message.kind === "cancel") cancelled = true;
    },
    until: run(),
  };

  async function run(): Promise<void> {
    let badLines = 0;
    let firstBad: string | undefined;
    let goodLines = 0;
    let startedAt: string | undefined;
    const onBadLine = (complaint: string) => {
      firstBad ??= complaint;
      badLines++;
    };
    const opened = await openSource(order, onBadLine, (at) => {
      startedAt = at;
    });
    if (!opened.ok) throw opened.error;
    const source = opened.value;
    const hash = createHash("sha512");
    let bytes = 0;
    const blocks: AsyncIterable<Uint8Array> | Iterable<Uint8Array> =
      source.kind === "samples" ? source.blocks : createReadStream(order.path, { highWaterMark: BLOCK_BYTES });
    for await (const block of blocks) {
      hash.update(block);
      bytes += block.length;
      await new Promise((resume) => setImmediate(resume)); // lets a cancel in
      if (cancelled) return;
    }
    if (source.kind === "lines") {
      for await (const _ of source.lines) {
        if (cancelled) return;
        goodLines++;
      }
      if (goodLines === 0 && firstBad !== undefined) {
        throw new InputError(order.path, "line 1", "no line that fits", `receiver lines; the first fault: ${firstBad}`);
      }
    }
    say({ kind: "hashed", hash: hash.digest("hex"), bytes, badLines, firstBad, startedAt });
  }
}
