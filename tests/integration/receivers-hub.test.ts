import { readdirSync, readFileSync } from "node:fs";
import { createServer } from "node:net";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { ReceiverBody, StoredBurstBody, StoredTelegramBody } from "../../server/http/wire.ts";
import { bootKey } from "../../server/receivers/boot.ts";
import { analysedTelegrams, said } from "../support/analysed.ts";
import { type HubBench, hubOf, openHub, talkTo, telegramsOf } from "../support/hub-bench.ts";
import { ack, bytes, hello, level, levels, resend, until } from "../support/receiver-bench.ts";

const samples = join(import.meta.dirname, "..", "..", "samples");
const lineFiles = readdirSync(samples).filter((name) => name.endsWith(".ndjson"));

let bench: HubBench;
beforeEach(async () => {
  bench = await openHub();
});
afterEach(() => bench.close());

describe("a receiver on a TCP port", () => {
  it("is told the port that was free, and it stays the same", async () => {
    const body = await bench.hub.add({ kind: "tcp", name: "kerb side", port: 0 });
    expect(body.port).toBeGreaterThan(1023);
    expect(body).toMatchObject({ state: "connecting", says: expect.stringContaining(`127.0.0.1:${body.port}`) });
    expect((await bench.store.receivers()).map(({ port }) => port)).toEqual([body.port]);
    expect(() => ReceiverBody.parse(body)).not.toThrow();
  });

  it("has its lines kept, acknowledged and decoded, and every event is of its published shape", async () => {
    const { id, port } = await bench.hub.add({ kind: "tcp", name: "kerb side", port: 0 });
    const talk = await talkTo(port!);
    await talk.send(readFileSync(join(samples, "sound-car.ndjson")));
    await until(() => talk.answers.some((one) => JSON.stringify(one) === JSON.stringify(ack(21))));
    await bench.hub.rest();
    expect(said(await telegramsOf(bench.store, id))).toEqual(
      said(await analysedTelegrams(join(samples, "sound-car.ndjson"))),
    );
    await talk.end();
    await until(async () => (await bench.hub.receiver(id))?.state === "away");
    await until(() => bench.events.some((event) => event.type === "receiver" && event.body.state === "away"));
    for (const { type, body } of bench.events) {
      const shape = { receiver: ReceiverBody, burst: StoredBurstBody, telegram: StoredTelegramBody }[type];
      expect(() => shape.parse(body)).not.toThrow();
    }
    const revisions = bench.events.flatMap((event) => (event.type === "telegram" ? [event.body.revision] : []));
    expect(revisions).toEqual([1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 3, 4]);
    expect(await bench.hub.receiver(id)).toMatchObject({
      lines: 21,
      bursts: 16,
      telegrams: 4,
      quarantined: 0,
      carrierHz: [433920000],
      says: expect.stringMatching(/^Disconnected at \d\d:\d\d\. .*nothing that was acknowledged is lost\.$/),
    });
  });

  it("loses nothing of 5,000 lines that are dropped, cut and sent again on the way", async () => {
    const { id, port } = await bench.hub.add({ kind: "tcp", name: "kerb side", port: 0 });
    const asked = await sendAll(port!, 5000);
    const kept = await bench.store.linesOf(id, bootKey({ receiver: "kerb side", boot: "b1" }), 0, 10_000);
    expect(kept.map(({ sequence }) => sequence)).toEqual(levels(1, 5000).map(({ sequence }) => sequence));
    expect(asked).toBeGreaterThan(5);
    const { gaps } = (await bench.hub.receiver(id))!;
    expect(gaps.length).toBeGreaterThan(5);
    expect(new Set(gaps.map(({ state, boot }) => `${state} ${boot}`))).toEqual(new Set(["filled b1"]));
  });

  it("takes two connections at once, each with its own count", async () => {
    const { id, port } = await bench.hub.add({ kind: "tcp", name: "yard", port: 0 });
    const [one, other] = await Promise.all([talkTo(port!), talkTo(port!)]);
    await Promise.all([
      one.send(bytes(hello("b1", "kerb"), ...levels(1, 3))),
      other.send(bytes(hello("b1", "ramp"), ...levels(1, 2), level(5))),
    ]);
    await until(() => one.answers.length > 0 && other.answers.length > 1);
    expect(one.answers).toEqual([ack(3)]);
    expect(other.answers).toEqual([ack(2), resend(3)]);
    expect((await bench.hub.receiver(id))?.says).toBe("2 receivers are connected.");
    expect(await bench.store.lineCount(id)).toBe(6);
  });

  it("says whose port is taken, and has it as soon as it is free", async () => {
    const other = createServer();
    const port = await new Promise<number>((resume) => {
      other.listen(0, "127.0.0.1", () => {
        const address = other.address();
        if (address !== null && typeof address === "object") resume(address.port);
      });
    });
    const body = await bench.hub.add({ kind: "tcp", name: "yard", port });
    expect(body).toMatchObject({ state: "away", says: expect.stringContaining("taken by another program") });
    await new Promise((resume) => other.close(resume));
    await until(async () => (await bench.hub.receiver(body.id))?.state === "connecting");
  });
});

describe("two receivers at once", () => {
  it("are decoded each for itself", async () => {
    const names = ["sound-car.ndjson", "two-sensors-colliding.ndjson"];
    const bodies = await Promise.all(names.map((name) => bench.hub.add({ kind: "tcp", name, port: 0 })));
    await Promise.all(
      bodies.map(async ({ port }, i) => {
        const talk = await talkTo(port!);
        await talk.send(readFileSync(join(samples, names[i]!)));
        await until(() => talk.answers.length > 0);
        await talk.end();
      }),
    );
    for (const [i, { id }] of bodies.entries()) {
      await until(async () => (await bench.hub.receiver(id))?.state === "away");
      await bench.hub.rest();
      expect(said(await telegramsOf(bench.store, id))).toEqual(said(await analysedTelegrams(join(samples, names[i]!))));
    }
  });
});

describe.each(lineFiles)("%s, replayed", (name) => {
  it("gives the telegrams that the file gives", async () => {
    const path = join(samples, name);
    const { id } = await bench.hub.add({ kind: "replay", name, path, speed: 1e6 });
    await until(async () => (await bench.hub.receiver(id))?.state === "stopped");
    await bench.hub.rest();
    await until(async () => {
      const found = await telegramsOf(bench.store, id);
      return found.length === (await analysedTelegrams(path)).length;
    });
    expect(said(await telegramsOf(bench.store, id))).toEqual(said(await analysedTelegrams(path)));
    expect((await bench.hub.receiver(id))?.says).toMatch(/^All \d+ lines of .* were replayed\./);
  });
});

describe("a replay", () => {
  it("keeps the rhythm of its lines, as much faster as was asked", async () => {
    const path = join(samples, "sound-car.ndjson"); // 1.7 s from the first line to the last
    const secondsAt = async (speed: number) => {
      const began = performance.now();
      const { id } = await bench.hub.add({ kind: "replay", name: "again", path, speed });
      await until(async () => (await bench.hub.receiver(id))?.state === "stopped");
      return (performance.now() - began) / 1000;
    };
    const [fast, slow] = [await secondsAt(4), await secondsAt(0.4)];
    expect(fast).toBeGreaterThan(0.3);
    expect(slow).toBeGreaterThan(3.9);
    expect(fast).toBeLessThan(slow);
  });

  it("of no file says so", async () => {
    const { id } = await bench.hub.add({ kind: "replay", name: "none", path: join(samples, "none.ndjson"), speed: 1 });
    await until(async () => (await bench.hub.receiver(id))?.state === "away");
    expect((await bench.hub.receiver(id))?.says).toContain("no such file");
  });
});

describe("live I/Q over TCP", () => {
  it("gives the telegrams of the recording, and keeps nothing else", async () => {
    const { id, port } = await bench.hub.add({ kind: "samples", name: "radio", port: 0 });
    const meta = JSON.parse(readFileSync(join(samples, "sound-car.sigmf-meta"), "utf8"));
    const talk = await talkTo(port!);
    const { global, captures } = meta;
    await talk.send(`${JSON.stringify({ type: "samples", receiver: "radio", global, captures })}\n`);
    await talk.send(readFileSync(join(samples, "sound-car.sigmf-data")));
    await talk.end();
    await until(async () => (await bench.hub.receiver(id))?.state === "away");
    expect(said(await telegramsOf(bench.store, id))).toEqual(
      said(await analysedTelegrams(join(samples, "sound-car.sigmf-meta"))),
    );
    expect(await bench.hub.receiver(id)).toMatchObject({ lines: 0, bursts: 16, telegrams: 4, carrierHz: [433920000] });
  });

  it("is said to lack samples that the sender drops", async () => {
    const { id, port } = await bench.hub.add({ kind: "samples", name: "radio", port: 0 });
    const talk = await talkTo(port!);
    const global = { "core:datatype": "cu8", "core:sample_rate": 100_000, "core:version": "1.2.0" };
    const captures = [{ "core:sample_start": 0, "core:frequency": 433.92e6 }];
    await talk.send(`${JSON.stringify({ type: "samples", receiver: "radio", global, captures })}\n`);
    const half = new Uint8Array(10_000).fill(127); // 50 ms of samples every 100 ms
    const sending = setInterval(() => void talk.send(half), 100);
    await until(async () => /% of the announced sample rate/.test((await bench.hub.receiver(id))?.says ?? ""));
    clearInterval(sending);
    expect((await bench.hub.receiver(id))?.says).toMatch(/^Only [345]\d % of the announced sample rate comes in/);
    await talk.end();
  });

  it("with a first line that does not fit is answered, put aside and closed", async () => {
    const { id, port } = await bench.hub.add({ kind: "samples", name: "radio", port: 0 });
    const talk = await talkTo(port!);
    const global = { "core:datatype": "ci64_le", "core:sample_rate": 1e6 };
    await talk.send(
      `${JSON.stringify({ type: "samples", receiver: "radio", global, captures: [{ "core:sample_start": 0 }] })}\n`,
    );
    await until(() => talk.socket.closed);
    expect(talk.answers).toMatchObject([{ type: "error", path: "global.core:datatype" }]);
    expect(await bench.store.quarantined(id, 9)).toMatchObject([{ path: "global.core:datatype" }]);
    expect((await bench.hub.receiver(id))?.says).toContain("could not be taken");
  });
});

describe("a hub that starts again", () => {
  it("runs the receivers that there were, and decodes what was kept but not decoded", async () => {
    const { id, port } = await bench.hub.add({ kind: "tcp", name: "kerb side", port: 0 });
    await bench.hub.stop();
    const text = readFileSync(join(samples, "sound-car.ndjson"), "utf8");
    const lines = text
      .trim()
      .split("\n")
      .slice(1)
      .map((line, i) => ({
        boot: bootKey({ receiver: "bay 1 receiver", boot: "seed 1001" }),
        sequence: i + 1,
        receivedAt: `2026-11-25T09:00:00.${String(i).padStart(6, "0")}Z`,
        text: line,
      }));
    await bench.store.setSetting(
      `decoded ${id}`,
      JSON.stringify([[lines[0]!.boot, { origin: null, after: "", from: 0 }]]),
    );
    await bench.store.keepLines(id, lines);
    const again = await hubOf(bench.store, bench.pool);
    await again.rest();
    expect(said(await telegramsOf(bench.store, id))).toEqual(
      said(await analysedTelegrams(join(samples, "sound-car.ndjson"))),
    );
    expect(await again.receiver(id)).toMatchObject({ port, lines: 21, bursts: 16, telegrams: 4 });
    await again.stop();
  });

  it("tells nothing twice", async () => {
    const { id, port } = await bench.hub.add({ kind: "tcp", name: "kerb side", port: 0 });
    const talk = await talkTo(port!);
    await talk.send(readFileSync(join(samples, "sound-car.ndjson")));
    await until(() => talk.answers.length > 0);
    await bench.hub.stop();
    const before = await bench.store.telegrams({ receiverId: id, limit: 100 });
    const events: Parameters<typeof hubOf>[2] = [];
    const again = await hubOf(bench.store, bench.pool, events);
    await again.rest();
    await again.stop();
    expect(await bench.store.telegrams({ receiverId: id, limit: 100 })).toEqual(before);
    expect(before.items).toHaveLength(4);
    expect(events.filter((event) => event.type === "telegram")).toEqual([]);
    expect(await bench.store.heardCounts(id)).toMatchObject({ bursts: 16, telegrams: 4 });
  });
});

describe("a receiver that is changed or removed", () => {
  it("listens on its new port, and after that nowhere", async () => {
    const { id, port } = await bench.hub.add({ kind: "tcp", name: "kerb side", port: 0 });
    const changed = await bench.hub.change(id, { port: 0, name: "ramp" });
    expect(changed).toMatchObject({ name: "ramp", state: "connecting" });
    await expect(talkTo(port!)).rejects.toThrow();
    await talkTo(changed!.port!).then((talk) => talk.end());
    expect(await bench.hub.remove(id)).toBe(true);
    expect(await bench.hub.remove(id)).toBe(false);
    await expect(talkTo(changed!.port!)).rejects.toThrow();
    expect(await bench.hub.receivers()).toEqual([]);
  });
});

/** A receiver that keeps what was not acknowledged, over a way that loses one line in forty; connects anew five times. */
async function sendAll(port: number, count: number): Promise<number> {
  let random = 12345;
  const chance = () => {
    random = (random * 1103515245 + 12345) % 2 ** 31;
    return random / 2 ** 31;
  };
  let acked = 0;
  let asked = 0;
  for (let connection = 0; acked < count; connection++) {
    const talk = await talkTo(port);
    let next = acked + 1;
    let read = 0;
    await talk.send(bytes(hello("b1")));
    const stopAt = connection < 5 ? acked + 800 : count;
    while (acked < stopAt) {
      for (; read < talk.answers.length; read++) {
        const answer = talk.answers[read];
        if (typeof answer !== "object" || answer === null || !("type" in answer)) continue;
        if (answer.type === "ack" && "sequence" in answer) acked = Math.max(acked, Number(answer.sequence));
        if (answer.type === "resend" && "from" in answer) {
          next = Number(answer.from);
          asked++;
        }
      }
      const some = levels(next, Math.min(next + 19, count)).filter(() => chance() > 0.025);
      if (next <= count) await talk.send(bytes(...some));
      next = Math.min(next + 20, count + 1);
      await new Promise((resume) => setTimeout(resume, next > count ? 5 : 0));
    }
    if (acked < count) {
      await talk.send(bytes(level(acked + 1)).subarray(0, 30)); // breaks off in the middle
      talk.socket.destroy();
    } else await talk.end();
  }
  return asked;
}
