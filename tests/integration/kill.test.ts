import { readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { bootKey } from "../../server/receivers/boot.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import { createPool } from "../../server/work/pool.ts";
import { analysedTelegrams, said } from "../support/analysed.ts";
import { temporaryFolder } from "../support/folder.ts";
import { hubOf, talkTo, telegramsOf } from "../support/hub-bench.ts";
import { type HubServer, startHubServer } from "../support/hub-server.ts";
import { killRounds } from "../support/kill-rounds.ts";
import { bytes, hello, levels, until } from "../support/receiver-bench.ts";
import { noSerialPairs } from "../support/serial-pair.ts";

const top = join(import.meta.dirname, "..", "..");

let folder: string;
let server: HubServer | undefined;
beforeEach(() => {
  folder = temporaryFolder("kill");
});
afterEach(async () => {
  await server?.kill();
  rmSync(folder, { recursive: true, force: true });
});

/** A server with one TCP receiver. */
async function start(): Promise<{ readonly id: string; readonly port: number; readonly kill: () => Promise<void> }> {
  server = await startHubServer(folder);
  const { receivers, kill } = server;
  const [one] = receivers;
  if (!one) throw new Error("the server has no receiver");
  return { ...one, kill };
}

describe("a server that is killed in the middle", () => {
  it("has every line that it acknowledged, once, and in the end every line", async () => {
    const count = 6000;
    let acked = 0;
    let id = "";
    for (let killed = 0; acked < count; ) {
      const server = await start();
      id = server.id;
      const talk = await talkTo(server.port);
      const heard = () => {
        for (const answer of talk.answers) {
          if (
            typeof answer === "object" &&
            answer !== null &&
            "type" in answer &&
            answer.type === "ack" &&
            "sequence" in answer
          ) {
            acked = Math.max(acked, Number(answer.sequence));
          }
        }
        return acked;
      };
      const from = acked + 1;
      await talk.send(bytes(hello("b1"), ...levels(from, Math.min(from + 999, count))));
      void talk.send(bytes(...levels(Math.min(from + 1000, count), count)));
      // Twice it is killed between two acknowledgements, and then left alone.
      await until(() => heard() >= (killed < 2 ? from + 1000 : count), 30_000);
      await server.kill();
      heard();
      killed++;
      const store = await openSqliteStore(join(folder, "wheelgram.db"));
      const lines = await store.linesOf(id, bootKey({ receiver: "kerb side", boot: "b1" }), 0, 2 * count);
      await store.close();
      const sequences = lines.map(({ sequence }) => sequence);
      expect(new Set(sequences).size).toBe(sequences.length);
      expect(sequences.slice(0, acked)).toEqual(levels(1, acked).map(({ sequence }) => sequence));
    }
    expect(acked).toBe(count);
  });

  it.skipIf(noSerialPairs)("has them of eight receivers on TCP and serial lines, whenever it is killed", async () => {
    const told = await killRounds(folder, { kills: 6, tcpCount: 6, serialCount: 2, seed: 61 });
    expect(told.faults).toEqual([]);
    expect(told.acknowledged).toBeGreaterThan(1000);
  });

  it("decodes after its start what it had kept, and loses no telegram", async () => {
    const file = join(top, "samples", "crowded-yard.ndjson");
    const lines = readFileSync(file, "utf8").split("\n");
    const server = await start();
    const first = await talkTo(server.port);
    await first.send(`${lines.slice(0, Math.floor(lines.length / 2)).join("\n")}\n`);
    await until(() => first.answers.length > 0);
    await server.kill(); // what was acknowledged a moment ago is hardly decoded
    const again = await start();
    const second = await talkTo(again.port);
    await second.send(lines.join("\n"));
    await second.end();
    const store = await openSqliteStore(join(folder, "wheelgram.db"));
    await until(
      async () => (await store.lineCount(server.id)) >= lines.filter((line) => line.includes('"sequence"')).length,
    );
    await store.close();
    await again.kill();

    const last = await openSqliteStore(join(folder, "wheelgram.db"));
    const pool = createPool(1);
    const hub = await hubOf(last, pool);
    await hub.rest();
    const expected = said(await analysedTelegrams(file));
    await until(async () => (await telegramsOf(last, server.id)).length >= expected.length);
    expect(said(await telegramsOf(last, server.id))).toEqual(expected);
    await hub.stop();
    await pool.stop();
    await last.close();
  });
});
