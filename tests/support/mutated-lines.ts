import { readFileSync } from "node:fs";
import { join } from "node:path";
import { chance, uniform } from "../../seeds/noise.ts";
import type { Hub } from "../../server/receivers/hub.ts";
import { talkTo } from "./hub-bench.ts";
import { diceFrom, mutatedJson } from "./mutate-json.ts";
import { bytes, hello, levels, until } from "./receiver-bench.ts";
import { samplesDir } from "./samples.ts";

export interface LinesTold {
  /** Lines that were taken, and lines that were put aside. */
  readonly kept: number;
  readonly aside: number;
  /** Answers `error` that the receiver got. */
  readonly errors: number;
  readonly slowestMs: number;
}

const TOGETHER = 200;

/**
 * Sends broken receiver lines over TCP, and after each two hundred of them a few good ones, which have to be acknowledged
 * within five seconds.
 *
 * @throws Error where they are not.
 */
export async function sendMutatedLines(hub: Hub, count: number, seed: number): Promise<LinesTold> {
  const noise = chance(seed);
  const whole = readFileSync(join(samplesDir, "crowded-yard.ndjson"), "utf8")
    .trim()
    .split("\n")
    .map((line) => JSON.parse(line));
  const { id, port } = await hub.add({ kind: "tcp", name: "broken", port: 0 });
  let errors = 0;
  let slowestMs = 0;
  for (let sent = 0; sent < count; sent += TOGETHER) {
    const talk = await talkTo(port ?? 0);
    for (let i = 0; i < TOGETHER; i++) {
      const numbers = Array.from({ length: 16 }, () => Math.floor(uniform(noise) * 2 ** 31));
      const line = mutatedJson(whole[i % whole.length], diceFrom(numbers));
      await talk.send(Buffer.concat([line, Buffer.from("\n")]));
    }
    const started = performance.now();
    await talk.send(bytes(hello(`good ${sent}`), ...levels(1, 5)));
    await until(() => JSON.stringify(talk.answers.at(-1)) === '{"type":"ack","sequence":5}', 5000);
    slowestMs = Math.max(slowestMs, performance.now() - started);
    errors += talk.answers.filter((one) => JSON.stringify(one).startsWith('{"type":"error"')).length;
    await talk.end();
  }
  const status = await hub.receiver(id);
  return { kept: status?.lines ?? 0, aside: status?.quarantined ?? 0, errors, slowestMs };
}
