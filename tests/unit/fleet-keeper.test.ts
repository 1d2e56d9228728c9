import { ErrorCode, NatsError } from "nats";
import { describe, expect, it } from "vitest";
import { createLineKeeper } from "../../server/fleet/lineKeeper.ts";
import { lineMessages, readLineMessage } from "../../server/fleet/lineMessage.ts";
import { partitionOf, partitionSetting } from "../../server/fleet/partitions.ts";
import type { StoredLine } from "../../server/store/store.ts";

const BOOT = '["b1","kerb"]';
const line = (sequence: number, boot = BOOT, text = `{"sequence":${sequence}}`): StoredLine => ({
  boot,
  sequence,
  receivedAt: "2026-11-25T09:00:00.000001Z",
  text,
});

/** A stream in memory, whose answers come when the test says so. */
function bench(stored: readonly StoredLine[] = [], position = 0) {
  const asked: { readonly id: string; readonly lines: readonly StoredLine[]; readonly answer: Answer }[] = [];
  const stream: StoredLine[][] = [];
  const said: string[] = [];
  const ending = new AbortController();
  const connection = {
    info: { max_payload: 1_000_000 },
    async request(_: string, question: string) {
      const { seq } = JSON.parse(question);
      const lines = stream[seq - 1];
      const bytes = lines && lineMessages("r1", lines)[0]?.bytes;
      const answer = bytes
        ? { message: { seq, data: Buffer.from(bytes).toString("base64") } }
        : { error: { code: 404 } };
      return { json: () => answer };
    },
  };
  const jetstream = {
    publish: (_: string, bytes: Uint8Array, { msgID }: { msgID: string }) =>
      new Promise((resume, reject) => {
        const lines = readLineMessage(bytes);
        const keep = (duplicate = false) => {
          if (!duplicate) stream.push(lines);
          resume({ seq: stream.length, duplicate });
        };
        asked.push({
          id: msgID,
          lines,
          answer: { keep, refuse: () => reject(NatsError.errorForCode(ErrorCode.NoResponders)) },
        });
      }),
  };
  const store = {
    setting: async (name: string) =>
      name === partitionSetting(partitionOf("r1")) ? JSON.stringify({ position, last: {} }) : undefined,
    lastSequence: async () => stored.at(-1)?.sequence,
    linesOf: async (_: string, boot: string, from: number) =>
      stored.filter((one) => one.boot === boot && one.sequence >= from),
    putGap: async () => undefined,
    gapsOf: async () => [],
    quarantine: async () => [],
  };
  const keeper = createLineKeeper({
    connection: connection as never, // of which it asks no more than that
    streams: { jetstream: jetstream as never },
    store,
    say: (sentence) => said.push(sentence),
    signal: ending.signal,
  });
  return { keeper, asked, stream, said, stop: () => ending.abort() };
}

interface Answer {
  readonly keep: (duplicate?: boolean) => void;
  readonly refuse: () => void;
}

describe("lines of a fleet's server", () => {
  it("are kept only when the stream says so, and asked for again by the same id until it does", async () => {
    const { keeper, asked, said } = bench();
    let isKept = false;
    const kept = keeper.keepLines("r1", [line(1), line(2)]).then((isNew) => {
      isKept = true;
      return isNew;
    });
    for (let tries = 0; tries < 4; tries++) {
      await expect.poll(() => asked.length).toBe(tries + 1);
      expect(isKept).toBe(false);
      if (tries < 3) asked[tries]?.answer.refuse();
    }
    expect(new Set(asked.map(({ id }) => id)).size).toBe(1);
    asked[3]?.answer.keep();
    expect(await kept).toEqual([true, true]);
    expect(said).toEqual([expect.stringContaining("Lines wait"), "The NATS servers keep lines again."]);
  });

  it("go one message after another, so that none overtakes one that has to be sent again", async () => {
    const { keeper, asked } = bench();
    const first = keeper.keepLines("r1", [line(1)]);
    const second = keeper.keepLines("r1", [line(2)]);
    await expect.poll(() => asked.length).toBe(1);
    asked[0]?.answer.refuse();
    await expect.poll(() => asked.length).toBe(2);
    expect(asked[1]?.lines).toEqual([line(1)]);
    asked[1]?.answer.keep();
    await first;
    await expect.poll(() => asked.length).toBe(3);
    expect(asked[2]?.lines).toEqual([line(2)]);
    asked[2]?.answer.keep();
    await second;
  });

  it("are not new, and not sent again, when a receiver says them twice", async () => {
    const { keeper, asked } = bench();
    for (const boot of [BOOT, ""]) {
      const before = asked.length;
      const kept = keeper.keepLines("r1", [line(1, boot), line(2, boot)]);
      await expect.poll(() => asked.length).toBe(before + 1);
      asked[before]?.answer.keep();
      expect(await kept).toEqual([true, true]);
      expect(await keeper.keepLines("r1", [line(1, boot), line(2, boot)])).toEqual([false, false]);
    }
    const said = keeper.keepLines("r1", [line(1, "", "other words")]);
    await expect.poll(() => asked.length).toBe(3);
    asked[2]?.answer.keep();
    expect(await said).toEqual([true]);
  });

  it("were there before where the stream knows their id at once", async () => {
    const { keeper, asked } = bench();
    const kept = keeper.keepLines("r1", [line(1)]);
    await expect.poll(() => asked.length).toBe(1);
    asked[0]?.answer.keep(true);
    expect(await kept).toEqual([false]);
  });

  it("are known while the store does not have them yet", async () => {
    const { keeper, stream } = bench([line(1), line(2)], 1);
    stream.push([line(1), line(2)], [line(3)], [line(4)], [line(9, "")]);
    expect(await keeper.lastSequence("r1", BOOT)).toBe(4);
    expect(await keeper.linesOf("r1", BOOT, 2, 10)).toEqual([line(2), line(3), line(4)]);
    expect(await keeper.linesOf("r1", BOOT, 2, 2)).toEqual([line(2), line(3)]);
    expect(await keeper.linesOf("r1", "", 0, 10)).toEqual([line(9, "")]);
  });

  it("are given up, and so not acknowledged, when the server has to end", async () => {
    const { keeper, asked, stop } = bench();
    const kept = keeper.keepLines("r1", [line(1)]);
    await expect.poll(() => asked.length).toBe(1);
    stop();
    asked[0]?.answer.refuse();
    await expect(kept).rejects.toThrow("being stopped");
  });
});
