import { readFileSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { tcpLink } from "../../server/receivers/tcpLink.ts";
import { freePort } from "../support/free-port.ts";
import { type HubBench, openHub, talkTo, telegramsOf } from "../support/hub-bench.ts";
import { ack, until } from "../support/receiver-bench.ts";

const samples = join(import.meta.dirname, "..", "..", "samples");

describe("a TCP port", () => {
  let bench: HubBench;
  beforeEach(async () => {
    bench = await openHub();
  });
  afterEach(() => bench.close());

  it("takes forty receivers at once, and gives each its own telegrams with all their copies", async () => {
    const { id, port } = await bench.hub.add({ kind: "tcp", name: "yard", port: 0 });
    const [greeting, ...lines] = readFileSync(join(samples, "sound-car.ndjson"), "utf8").trim().split("\n");
    const talks = await Promise.all(Array.from({ length: 40 }, () => talkTo(port!)));
    for (const [i, talk] of talks.entries()) {
      await talk.send(`${JSON.stringify({ ...JSON.parse(greeting!), boot: `b${i}` })}\n`);
    }
    // Line by line in turn, so that the copies of each telegram come with those of others in between.
    for (const [i, line] of lines.entries()) {
      await Promise.all(talks.map((talk) => talk.send(`${line}\n`)));
      const said = JSON.stringify(ack(i + 1));
      await until(() => talks.every(({ answers }) => JSON.stringify(answers.at(-1)) === said));
    }
    await bench.hub.rest();
    const telegrams = await telegramsOf(bench.store, id);
    expect(telegrams.map(({ repeats }) => repeats.length)).toEqual(Array.from({ length: 160 }, () => 4));
  });

  it("is the last one that was asked for, after two changes at once, and none after it was removed", async () => {
    const ports = await Promise.all([freePort(), freePort()]);
    const { id } = await bench.hub.add({ kind: "tcp", name: "kerb side", port: 0 });
    await Promise.all(ports.map((port) => bench.hub.change(id, { port })));
    const body = (await bench.hub.receiver(id))!;
    expect(body).toMatchObject({ port: ports[1], state: "connecting" });
    await bench.hub.remove(id);
    for (const port of ports) await expect(talkTo(port)).rejects.toThrow();
  });
});

describe("the listening", () => {
  it("still answers a receiver that has closed its side and waits", async () => {
    const link = await tcpLink(
      {
        open: (tell) => ({
          push: () => Promise.resolve(),
          async end() {
            await new Promise((resume) => setTimeout(resume, 50));
            tell?.(JSON.stringify(ack(7)));
          },
        }),
        say: () => undefined,
        now: Date.now,
      },
      0,
    );
    const talk = await talkTo(link.port()!);
    await talk.end();
    expect(talk.answers).toEqual([ack(7)]);
    await link.stop();
  });

  it("ends, though somebody connects while what came before is still being kept", async () => {
    let keep: (() => void) | undefined;
    const kept = new Promise<void>((resume) => {
      keep = resume;
    });
    const link = await tcpLink(
      { open: () => ({ push: () => Promise.resolve(), end: () => kept }), say: () => undefined, now: Date.now },
      0,
    );
    const port = link.port()!;
    await talkTo(port);
    const stopping = link.stop();
    const late = connect(port, "127.0.0.1");
    late.on("error", () => undefined);
    await new Promise((resume) => setTimeout(resume, 100));
    keep?.();
    await stopping;
    late.destroy();
  }, 5000);

  it("ends at once, though a receiver that has said all does not hang up", async () => {
    const link = await tcpLink(
      {
        open: () => ({ push: () => Promise.reject(new Error("full")), end: () => Promise.resolve() }),
        say: () => undefined,
        now: Date.now,
      },
      0,
    );
    const socket = connect({ port: link.port()!, host: "127.0.0.1", allowHalfOpen: true });
    socket.on("error", () => undefined);
    await new Promise<void>((resume) => {
      socket.once("end", () => resume());
      socket.resume();
      socket.write("a line\n");
    });
    const began = performance.now();
    await link.stop();
    expect(performance.now() - began).toBeLessThan(10_000);
    socket.destroy();
  });

  it("says nothing more after it was stopped", async () => {
    const said: string[] = [];
    const link = await tcpLink(
      {
        open: () => ({ push: () => Promise.resolve(), end: () => Promise.resolve() }),
        say: (state) => said.push(state),
        now: Date.now,
      },
      0,
    );
    await talkTo(link.port()!);
    await link.stop();
    await new Promise((resume) => setTimeout(resume, 50));
    expect(said.at(-1)).toBe("stopped");
  });
});
