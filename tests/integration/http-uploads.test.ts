import { createHash } from "node:crypto";
import { mkdirSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { connect, type Socket } from "node:net";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed } from "../support/http-samples.ts";

const MAX_PAUSE_MS = 300;
let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench({ uploadLimits: { maxBytes: 3_000_000, maxPauseMs: MAX_PAUSE_MS } });
});
afterAll(() => bench.close());

const raw = "type=cu8&rate=250000&carrier=433920000";
const halves = () => readdirSync(bench.house.folder.incomingDir);
const filesOf = (hash: string) => readdirSync(bench.house.folder.recordingsDir).filter((name) => name.startsWith(hash));

/** Samples that no other test has. */
function noise(seed: number, sampleCount = 50_000): Buffer {
  return Buffer.from(Uint8Array.from({ length: 2 * sampleCount }, (_, i) => 126 + ((i * 31 + seed) % 5)));
}

/** Begins an upload of 9000 bytes and sends 1000 of them. */
async function begun(): Promise<{ readonly socket: Socket; readonly text: () => string }> {
  const { port } = new URL(bench.address);
  const socket = connect(Number(port), "127.0.0.1");
  let text = "";
  socket.setEncoding("utf8").on("data", (part) => {
    text += part;
  });
  const head = `POST /api/v1/recordings?name=x.iq&${raw} HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nContent-Length: 9000\r\n\r\n`;
  await new Promise<void>((resume) => socket.write(head + "x".repeat(1000), () => resume()));
  await expect.poll(halves).toHaveLength(1);
  return { socket, text: () => text };
}

describe("an upload that does not come to its end", () => {
  it("leaves nothing where it breaks off, and is no fault of the server", async () => {
    const { socket } = await begun();
    socket.destroy();
    await expect.poll(halves).toEqual([]);
    expect((await bench.ask("GET", "/recordings")).body).toEqual([]);
    expect(bench.logged).toEqual([]);
  });

  it("of JSON is refused however slowly it comes in, and nothing of it is done", async () => {
    const { port } = new URL(bench.address);
    const socket = connect(Number(port), "127.0.0.1");
    let text = "";
    socket.setEncoding("utf8").on("data", (part) => {
      text += part;
    });
    socket.on("error", () => undefined);
    const head = `POST /api/v1/jobs HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nContent-Type: application/json\r\n`;
    socket.write(`${head}Content-Length: 9000\r\n\r\n{`);
    const drip = setInterval(() => socket.write(" "), MAX_PAUSE_MS / 6);
    await new Promise((resume) => socket.once("close", resume));
    clearInterval(drip);
    expect(text).toMatch(/^HTTP\/1\.1 408 /);
    expect(text).toContain("It did not end within 0.3 s.");
    expect((await bench.ask("GET", "/jobs")).body).toEqual([]);
    expect(bench.logged).toEqual([]);
  });

  it("is refused where it stands still, and not where it only is slow", async () => {
    const { socket, text } = await begun();
    for (let i = 0; i < 8; i++) {
      await new Promise((resume) => setTimeout(resume, MAX_PAUSE_MS / 4));
      socket.write("x".repeat(100));
    }
    expect([halves().length, text()]).toEqual([1, ""]);
    await new Promise((resume) => socket.once("close", resume));
    expect(text()).toMatch(/^HTTP\/1\.1 408 /);
    expect(text()).toContain("Nothing more came for 0.3 seconds.");
    expect(halves()).toEqual([]);
    expect(bench.logged).toEqual([]);
  });
});

describe("the name of an upload", () => {
  it("stands in a refusal as it was given, whatever it is made of", async () => {
    const name = "$`$&$'.iq";
    const { body } = await bench.ask("POST", `/recordings?name=${encodeURIComponent(name)}&${raw}`, {
      bytes: new Uint8Array(0),
    });
    expect(body.detail).toMatch(/^\$`\$&\$'\.iq: byte 0: found no samples/);
    expect(body.detail).not.toContain(bench.house.folder.path);
  });

  it("is not longer in a header than in the address", async () => {
    const headers = { "content-disposition": `attachment; filename="${"n".repeat(256)}"` };
    const { status, body } = await bench.ask("POST", `/recordings?${raw}`, { bytes: noise(1), headers });
    expect([status, body.detail]).toEqual([400, "Content-Disposition: found a name of 256 characters, allowed 255."]);
    expect((await bench.ask("POST", `/recordings?${raw}&name=${"n".repeat(256)}`, { bytes: noise(1) })).status).toBe(
      400,
    );
    expect((await bench.ask("GET", "/recordings")).body).toEqual([]);
  });
});

describe("the same samples at once", () => {
  it("come in once, and what is kept beside them is of the one that was first", async () => {
    const bytes = noise(2);
    const answers = await Promise.all(
      ["a", "b", "c", "d", "e", "f"].map((name) => bench.ask("POST", `/recordings?name=${name}&${raw}`, { bytes })),
    );
    expect(answers.map(({ status }) => status).toSorted()).toEqual([200, 200, 200, 200, 200, 201]);
    const { hash, name } = answers.find(({ status }) => status === 201)?.body ?? {};
    const original = readFileSync(join(bench.house.folder.recordingsDir, `${hash}.json`), "utf8");
    expect(JSON.parse(original).name).toBe(name);
    expect((await analysed(bench, hash)).analysis.state).toBe("done");
  });

  it("coming while they go are there whole", async () => {
    const bytes = noise(3);
    const { hash } = (await bench.ask("POST", `/recordings?name=a&${raw}`, { bytes })).body;
    const { store } = bench.house;
    const { removeRecording } = store;
    let isRemoved: () => void = () => undefined;
    const removed = new Promise<void>((resume) => {
      isRemoved = resume;
    });
    Object.assign(store, {
      async removeRecording(of: string) {
        const was = await removeRecording(of);
        isRemoved();
        await new Promise((resume) => setTimeout(resume, 300)); // as long as a large file takes to go
        return was;
      },
    });
    const going = bench.ask("DELETE", `/recordings/${hash}`);
    await removed;
    const coming = await bench.ask("POST", `/recordings?name=b&${raw}`, { bytes });
    Object.assign(store, { removeRecording });
    expect([(await going).status, coming.status]).toEqual([204, 201]);
    expect((await bench.ask("GET", `/recordings/${hash}`)).body.name).toBe("b");
    expect(filesOf(hash)).toHaveLength(4);
  });
});

describe("what cannot be put in its place", () => {
  it("leaves nothing behind", async () => {
    const bytes = noise(4);
    const hash = createHash("sha512").update(bytes).digest("hex");
    const { store } = bench.house;
    const { addRecording } = store;
    Object.assign(store, {
      addRecording: () => Promise.reject(Object.assign(new Error("no space"), { code: "ENOSPC" })),
    });
    const { status, body } = await bench.ask("POST", `/recordings?${raw}`, { bytes });
    Object.assign(store, { addRecording });
    expect([status, body.detail]).toEqual([507, "Writing to the data folder failed: its disk is full."]);
    expect([filesOf(hash), halves()]).toEqual([[], []]);
  });
});

describe("the signal of a recording without its envelope", () => {
  it("is the same for all who ask at once, and leaves one file", async () => {
    const { body } = await bench.ask("POST", `/recordings?name=e&${raw}`, { bytes: noise(5, 400_000) });
    const ask = () => bench.ask("GET", `/recordings/${body.hash}/signal?columns=7`);
    const whole = (await ask()).body;
    rmSync(join(bench.house.folder.recordingsDir, `${body.hash}.envelope`));
    const answers = await Promise.all(Array.from({ length: 6 }, ask));
    expect(answers.map(({ status }) => status)).toEqual(Array(6).fill(200));
    for (const answer of answers) expect(answer.body).toEqual(whole);
    expect(filesOf(body.hash)).toHaveLength(4);
  });

  it("that cannot be made anew leaves no half of one", async () => {
    const { body } = await bench.ask("POST", `/recordings?name=f&${raw}`, { bytes: noise(6, 400_000) });
    const envelope = join(bench.house.folder.recordingsDir, `${body.hash}.envelope`);
    rmSync(envelope);
    mkdirSync(join(envelope, "in the way"), { recursive: true });
    expect((await bench.ask("GET", `/recordings/${body.hash}/signal?columns=7`)).status).toBe(500);
    expect(filesOf(body.hash)).toHaveLength(4);
    rmSync(envelope, { recursive: true });
  });
});
