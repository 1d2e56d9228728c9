import { createHash } from "node:crypto";
import { cpSync, readdirSync, renameSync, rmSync, symlinkSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { printOf } from "../../server/http/alike.ts";
import type { UploadBody } from "../../server/http/wire.ts";
import type { StoredRecording } from "../../server/store/store.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { analysed } from "../support/http-samples.ts";
import { archiveOf, sample } from "../support/samples.ts";

const DAY_MS = 24 * 3600 * 1000;
const uploadLimits = { maxBytes: 30_000_000, maxPauseMs: 300 };
const data = temporaryFolder("pieces");
let nowMs = Date.UTC(2026, 10, 25);
let bench: HttpBench;
const open = async () => {
  bench = await openBench({ data, uploadLimits, now: () => nowMs });
};
beforeAll(open);
afterEach(async () => {
  for (const { id } of await uploads()) await bench.ask("DELETE", `/uploads/${id}`);
  for (const { hash } of (await bench.ask("GET", "/recordings")).body) await bench.ask("DELETE", `/recordings/${hash}`);
});
afterAll(async () => {
  await bench.close();
  rmSync(data, { recursive: true, force: true });
});

const raw = { type: "cu8", rate: 250_000, carrier: 433_920_000 } as const;
const uploads = async (): Promise<UploadBody[]> => (await bench.ask("GET", "/uploads")).body;
const incoming = () => readdirSync(bench.house.folder.incomingDir);
const hashOf = (bytes: Uint8Array) => createHash("sha512").update(bytes).digest("hex");

function noise(seed: number, sampleCount: number): Buffer {
  return Buffer.from(Uint8Array.from({ length: 2 * sampleCount }, (_, i) => 126 + ((i * 31 + seed) % 5)));
}

async function begin(byteCount: number, more: object = {}): Promise<UploadBody> {
  const { status, body, headers } = await bench.ask("POST", "/uploads", {
    json: { name: "x.iq", byteCount, ...raw, ...more },
  });
  expect([status, headers.get("location")]).toEqual([201, `/api/v1/uploads/${body.id}`]);
  return body;
}

const piece = ({ id }: UploadBody, offset: number, bytes: Uint8Array) =>
  bench.ask("PATCH", `/uploads/${id}?offset=${offset}`, { bytes });

async function over({ id }: UploadBody): Promise<UploadBody> {
  let body: UploadBody | undefined;
  await expect
    .poll(async () => {
      body = (await bench.ask("GET", `/uploads/${id}`)).body;
      return body?.state;
    })
    .toMatch(/kept|refused/);
  return body!;
}

/** Sends the head of a piece and some of its bytes, and holds the wire. */
async function half(upload: UploadBody, offset: number, told: number, bytes: Uint8Array) {
  const { port } = new URL(bench.address);
  const socket = connect(Number(port), "127.0.0.1");
  let text = "";
  socket.setEncoding("utf8").on("data", (part) => {
    text += part;
  });
  socket.on("error", () => undefined); // the server may cut it
  const head = `PATCH /api/v1/uploads/${upload.id}?offset=${offset} HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nContent-Length: ${told}\r\n\r\n`;
  await new Promise<void>((resume) => socket.write(head, () => resume()));
  await new Promise<void>((resume) => socket.write(bytes, () => resume()));
  return { socket, text: () => text };
}

describe("an upload in pieces", () => {
  it("becomes the recording that one body would have made, and leaves only what says how it went", async () => {
    const bytes = noise(1, 300_000);
    const upload = await begin(bytes.length);
    expect(upload).toMatchObject({ offset: 0, state: "coming", progress: 0, hash: null, alike: null });
    for (let at = 0; at < bytes.length; at += 100_000) {
      const { status, body } = await piece(upload, at, bytes.subarray(at, at + 100_000));
      expect([status, body.offset]).toEqual([200, Math.min(bytes.length, at + 100_000)]);
    }
    const kept = await over(upload);
    expect(kept).toMatchObject({ state: "kept", hash: hashOf(bytes), progress: 1, because: null });
    expect((await analysed(bench, hashOf(bytes))).sampleCount).toBe(300_000);
    expect(readdirSync(join(bench.house.folder.incomingDir, `upload-${upload.id}`))).toEqual(["upload.json"]);
  });

  it("takes the two files of a SigMF recording and an archive as well", async () => {
    const { meta, data: samples } = sample("soft-spare");
    const name = "soft-spare";
    const pair = Buffer.concat([meta, samples]);
    const asPair = (
      await bench.ask("POST", "/uploads", { json: { name, byteCount: pair.length, metaBytes: meta.length } })
    ).body;
    // Cut in the middle of the metadata, so that one piece goes to both files.
    await piece(asPair, 0, pair.subarray(0, 100));
    await piece(asPair, 100, pair.subarray(100));
    expect(await over(asPair)).toMatchObject({ state: "kept", hash: hashOf(samples) });
    const archive = await archiveOf(name, { meta, data: samples });
    const asArchive = (await bench.ask("POST", "/uploads", { json: { name: "noending", byteCount: archive.length } }))
      .body;
    await piece(asArchive, 0, archive);
    expect(await over(asArchive)).toMatchObject({ state: "kept", hash: hashOf(samples) });
    expect((await bench.ask("GET", "/recordings")).body).toHaveLength(1);
  });

  it("whose cable is pulled at 70 % goes on at 69 % or later, also after the server was started anew", async () => {
    const bytes = noise(2, 4_000_000);
    const at = Math.floor(bytes.length * 0.7);
    const upload = await begin(bytes.length);
    const { socket } = await half(upload, 0, bytes.length, bytes.subarray(0, at));
    await expect
      .poll(async () => (await bench.ask("GET", `/uploads/${upload.id}`)).body.offset)
      .toBeGreaterThanOrEqual(0.69 * bytes.length);
    socket.destroy();
    await bench.close();
    await open();
    const { body } = await bench.ask("GET", `/uploads/${upload.id}`);
    expect(body.state).toBe("coming");
    // What lay in the cable when it was pulled is gone.
    expect(body.offset / bytes.length).toBeGreaterThanOrEqual(0.69);
    expect(bench.logged).toEqual([]);
    await piece(upload, body.offset, bytes.subarray(body.offset));
    expect(await over(upload)).toMatchObject({ state: "kept", hash: hashOf(bytes) });
  });

  it("tells whoever sends from a wrong offset the right one, and takes nothing of it", async () => {
    const bytes = noise(3, 1000);
    const upload = await begin(bytes.length);
    await piece(upload, 0, bytes.subarray(0, 500));
    for (const offset of [0, 499, 501]) {
      const { status, body } = await piece(upload, offset, bytes.subarray(500, 700));
      expect([status, body.complaints]).toEqual([409, [{ path: "offset", found: String(offset), allowed: "500" }]]);
    }
    await piece(upload, 500, bytes.subarray(500));
    expect(await over(upload)).toMatchObject({ hash: hashOf(bytes) });
  });

  it("with two senders at once goes to the later one, and nothing of it is mixed", async () => {
    const bytes = noise(4, 400_000);
    const upload = await begin(bytes.length);
    const first = await half(upload, 0, bytes.length, bytes.subarray(0, 200_000));
    await expect.poll(async () => (await bench.ask("GET", `/uploads/${upload.id}`)).body.offset).toBe(0);
    // What the first has sent counts, so the second is told where to go on.
    const { status, body } = await piece(upload, 0, bytes);
    const offset = status === 409 ? Number(body.complaints[0].allowed) : bytes.length;
    if (status === 409) expect((await piece(upload, offset, bytes.subarray(offset))).status).toBe(200);
    expect(await over(upload)).toMatchObject({ hash: hashOf(bytes) });
    first.socket.destroy();
  });

  it("that stands still in a piece lets go of it and keeps what came", async () => {
    const bytes = noise(5, 400_000);
    const upload = await begin(bytes.length);
    const { socket } = await half(upload, 0, bytes.length, bytes.subarray(0, 300_000));
    await new Promise((resume) => socket.once("close", resume));
    expect((await bench.ask("GET", `/uploads/${upload.id}`)).body).toMatchObject({ offset: 300_000, state: "coming" });
    expect(bench.logged).toEqual([]);
  });

  it("is refused where it is too large, brings more than it said, or can become no recording", async () => {
    const json = { name: "x.iq", byteCount: 30_000_001, ...raw };
    expect((await bench.ask("POST", "/uploads", { json })).status).toBe(413);
    expect((await bench.ask("POST", "/uploads", { json: { name: "x.iq", byteCount: 10, type: "cu8" } })).status).toBe(
      400,
    );
    expect((await bench.ask("POST", "/uploads", { json: { ...json, byteCount: 9, metaBytes: 9 } })).status).toBe(400);
    expect((await bench.ask("POST", "/uploads", { json: { name: "x.ndjson", byteCount: 9 } })).status).toBe(422);
    const upload = await begin(10);
    expect((await piece(upload, 0, new Uint8Array(11))).status).toBe(413);
    expect((await bench.ask("GET", "/uploads/none")).status).toBe(404);
    expect((await bench.ask("PATCH", "/uploads/none?offset=0", { bytes: new Uint8Array(1) })).status).toBe(404);
    const odd = await begin(11);
    await piece(odd, 0, new Uint8Array(11));
    const refused = await over(odd);
    expect(refused).toMatchObject({ state: "refused", hash: null });
    expect(refused.because).toMatch(/^x\.iq: byte 10: found 1 byte of a sample cut short/);
    expect((await bench.ask("GET", "/recordings")).body).toEqual([]);
  });

  it("that is taken away leaves nothing, also while a piece comes in", async () => {
    const upload = await begin(1_000_000);
    const { socket } = await half(upload, 0, 1_000_000, new Uint8Array(600_000));
    await expect.poll(async () => (await bench.ask("GET", `/uploads/${upload.id}`)).body.offset).toBeGreaterThan(0);
    expect((await bench.ask("DELETE", `/uploads/${upload.id}`)).status).toBe(204);
    expect(incoming()).toEqual([]);
    expect((await bench.ask("DELETE", `/uploads/${upload.id}`)).status).toBe(404);
    socket.destroy();
  });

  it("goes after a week without a byte, and not before", async () => {
    const stale = await begin(100);
    nowMs += 6 * DAY_MS;
    const fresh = await begin(101);
    nowMs += 2 * DAY_MS;
    await begin(102);
    expect((await uploads()).map(({ byteCount }) => byteCount)).toEqual([101, 102]);
    expect((await bench.ask("GET", `/uploads/${stale.id}`)).body.detail).toContain("a week");
    nowMs += 6 * DAY_MS;
    await bench.close();
    await open();
    expect((await uploads()).map(({ byteCount }) => byteCount)).toEqual([102]);
    expect(fresh.id).not.toBe(stale.id);
  });
});

describe("a file that was sent before", () => {
  it("goes on where it stopped, when it is the same file", async () => {
    const bytes = noise(6, 1000);
    const print = "ab".repeat(64);
    const upload = await begin(bytes.length, { print, changedMs: 7 });
    await piece(upload, 0, bytes.subarray(0, 900));
    const json = { name: "x.iq", byteCount: bytes.length, ...raw, print, changedMs: 7 };
    const again = await bench.ask("POST", "/uploads", { json });
    expect([again.status, again.body.id, again.body.offset]).toEqual([200, upload.id, 900]);
    for (const other of [{ changedMs: 8 }, { name: "y.iq" }, { print: "cd".repeat(64) }, { rate: 300_000 }]) {
      const { status, body } = await bench.ask("POST", "/uploads", { json: { ...json, ...other } });
      expect([status, body.offset]).toEqual([201, 0]);
    }
  });

  it("is not asked for again when the hash of its samples is known, and named when it only looks alike", async () => {
    const bytes = noise(7, 2_000_000);
    const upload = await begin(bytes.length);
    await piece(upload, 0, bytes);
    const { hash } = await over(upload);
    const known = await bench.ask("POST", "/uploads", {
      json: { name: "x.iq", byteCount: 9, ...raw, sampleHash: hash },
    });
    expect([known.status, known.body.state, known.body.hash]).toEqual([200, "kept", hash]);

    const path = join(bench.house.folder.recordingsDir, `${hash}.sigmf-data`);
    const print = await printOf(path, 0, bytes.length);
    const parts = [
      bytes.subarray(0, 2 ** 20),
      bytes.subarray(1_475_712, 1_475_712 + 2 ** 20),
      bytes.subarray(-(2 ** 20)),
    ];
    expect(print).toBe(hashOf(Buffer.concat(parts)));
    expect((await begin(bytes.length, { print })).alike).toBe(hash);
    expect((await begin(bytes.length, { print: "00".repeat(64) })).alike).toBeNull();
    expect((await begin(bytes.length - 2, { print })).alike).toBeNull();
  });
});

describe("a full disk", () => {
  it.skipIf(process.platform !== "linux")(
    "refuses a piece and keeps what was there; with room made it goes on",
    async () => {
      const bytes = noise(9, 100_000);
      const upload = await begin(bytes.length);
      await piece(upload, 0, bytes.subarray(0, 50_000));
      const path = join(bench.house.folder.incomingDir, `upload-${upload.id}`, "recording.raw");
      renameSync(path, `${path}.aside`);
      symlinkSync("/dev/full", path);
      const { status, body } = await piece(upload, 50_000, bytes.subarray(50_000));
      expect([status, body.detail]).toEqual([507, "Writing to the data folder failed: its disk is full."]);
      expect((await bench.ask("GET", `/uploads/${upload.id}`)).body.offset).toBe(50_000);
      renameSync(`${path}.aside`, path);
      await piece(upload, 50_000, bytes.subarray(50_000));
      expect(await over(upload)).toMatchObject({ hash: hashOf(bytes) });
    },
  );

  it("at the last step leaves the upload whole; an empty piece tries again", async () => {
    const bytes = noise(10, 50_000);
    const upload = await begin(bytes.length);
    const { store } = bench.house;
    const { addRecording } = store;
    Object.assign(store, {
      addRecording: () => Promise.reject(Object.assign(new Error("no space left"), { code: "ENOSPC" })),
    });
    await piece(upload, 0, bytes);
    const now = async () => (await bench.ask("GET", `/uploads/${upload.id}`)).body;
    await expect.poll(now).toMatchObject({ state: "coming", offset: bytes.length, because: "no space left" });
    Object.assign(store, { addRecording });
    expect((await piece(upload, bytes.length, new Uint8Array(0))).status).toBe(200);
    expect(await over(upload)).toMatchObject({ state: "kept", hash: hashOf(bytes), because: null });
  });
});

describe("an upload whose last byte is here", () => {
  it("is kept at the next start, when the server ended before it was", async () => {
    const bytes = noise(8, 1_000_000);
    const upload = await begin(bytes.length);
    const { store } = bench.house;
    const { addRecording } = store;
    let goOn: () => void = () => undefined;
    const held = new Promise<void>((resume) => {
      goOn = resume;
    });
    Object.assign(store, { addRecording: (recording: StoredRecording) => held.then(() => addRecording(recording)) });
    await piece(upload, 0, bytes);
    await expect
      .poll(() => readdirSync(bench.house.folder.recordingsDir).filter((name) => name.startsWith(hashOf(bytes))))
      .toHaveLength(4);
    await expect
      .poll(() => readdirSync(bench.house.folder.recordingsDir).some((name) => name.endsWith("-data")))
      .toBe(true);
    // As a kill would leave it: the samples have their second name, the store knows nothing.
    const left = temporaryFolder("pieces-left");
    cpSync(data, left, { recursive: true });
    goOn();
    const other = await openBench({ data: left, uploadLimits, now: () => nowMs });
    try {
      await expect.poll(async () => (await other.ask("GET", `/uploads/${upload.id}`)).body.state).toBe("kept");
      expect((await analysed(other, hashOf(bytes))).sampleCount).toBe(1_000_000);
    } finally {
      await other.close();
      rmSync(left, { recursive: true, force: true });
    }
  });
});
