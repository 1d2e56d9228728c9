import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { emptyCard } from "../support/http-samples.ts";
import { raw, rawBegun } from "../support/raw-request.ts";

const DAY_MS = 24 * 3600_000;
const LISTED = "/dev/no-such-port";
let bench: HttpBench;
let aheadMs = 0;
beforeAll(async () => {
  const serialPorts = async () => [{ path: LISTED, label: "a port" }];
  bench = await openBench({ open: true, now: () => Date.now() + aheadMs, serialPorts });
});
afterAll(() => bench.close());

const outside = () => bench.network ?? { port: 0, host: "" };
const own = () => ({ host: outside().host, origin: `http://${outside().host}`, "sec-fetch-site": "same-origin" });
const codeNow = async (): Promise<string> => (await bench.ask("POST", "/pairings")).body.code;

/** Comes in as a browser or a program does. */
function claim(code: string, more: object = {}, headers: Record<string, string> = own()) {
  return raw(outside().port, "/api/v1/devices", {
    method: "POST",
    headers: { ...headers, "content-type": "application/json" },
    body: JSON.stringify({ code, name: "the tablet", ...more }),
  });
}

async function cookieOf(
  code: string,
): Promise<{ readonly cookie: string; readonly id: string; readonly attributes: string }> {
  const answer = await claim(code);
  expect(answer.status).toBe(201);
  const [cookie = "", ...attributes] = (answer.headers["set-cookie"]?.[0] ?? "").split("; ");
  return { cookie, id: JSON.parse(answer.text).device.id, attributes: attributes.join("; ") };
}

const jobs = (headers: Record<string, string>) =>
  raw(outside().port, "/api/v1/jobs", { headers: { ...own(), ...headers } });

describe("a device from the network", () => {
  it("comes in by a code once, with a key that no script can read, and may then do what the pages do", async () => {
    const code = await codeNow();
    expect(Buffer.from(code, "base64url").length).toBeGreaterThanOrEqual(16);
    const { cookie, attributes } = await cookieOf(code);
    expect(attributes).toMatch(/HttpOnly; SameSite=Strict$/); // Secure where it is spoken with in HTTPS
    expect(Buffer.from(cookie.split("=")[1] ?? "", "base64url").length).toBeGreaterThanOrEqual(16);
    expect((await jobs({ cookie })).status).toBe(200);
    const written = await raw(outside().port, "/api/v1/jobs", {
      method: "POST",
      headers: { ...own(), cookie, "content-type": "application/json" },
      body: JSON.stringify(emptyCard),
    });
    expect(written.status).toBe(201);
    expect((await claim(code)).status).toBe(401);
    const network = JSON.parse((await raw(outside().port, "/api/v1/network", { headers: { ...own(), cookie } })).text);
    expect(network).toMatchObject({ open: true, here: false, device: { name: "the tablet" } });
  });

  it("that is a program shows its key in a header, and needs no page", async () => {
    const { key, device } = JSON.parse(
      (await claim(await codeNow(), { tellKey: true }, { host: outside().host })).text,
    );
    const headers = { host: outside().host, authorization: `Bearer ${key}` };
    expect((await raw(outside().port, "/api/v1/jobs", { headers })).status).toBe(200);
    await bench.ask("DELETE", `/devices/${device.id}`);
    expect((await raw(outside().port, "/api/v1/jobs", { headers })).status).toBe(401);
  });

  it("cannot write by its cookie where it does not say which page asked", async () => {
    const { cookie } = await cookieOf(await codeNow());
    const asking = { method: "POST", body: JSON.stringify(emptyCard) };
    const headers = { host: outside().host, cookie, "content-type": "application/json" };
    expect((await raw(outside().port, "/api/v1/jobs", { ...asking, headers })).status).toBe(403);
    const foreign = { ...headers, origin: "https://evil.example" };
    expect((await raw(outside().port, "/api/v1/jobs", { ...asking, headers: foreign })).status).toBe(403);
  });

  it("lets in no other, and sees no list of those that were", async () => {
    const { cookie, id } = await cookieOf(await codeNow());
    const ask = (method: string, path: string) =>
      raw(outside().port, `/api/v1${path}`, { method, headers: { ...own(), cookie } }).then(({ status }) => status);
    expect(await ask("POST", "/pairings")).toBe(403);
    expect(await ask("GET", "/devices")).toBe(403);
    expect(await ask("DELETE", `/devices/${id}`)).toBe(403);
    expect(await ask("DELETE", "/lots/none/gauge-line")).toBe(403);
  });

  it("is out at once when it is let go in the middle of listening, and told so from then on", async () => {
    const { cookie, id } = await cookieOf(await codeNow());
    const stream = await rawBegun(outside().port, "/api/v1/events", { headers: { ...own(), cookie } });
    expect(stream.statusCode).toBe(200);
    const cut = new Promise((resume) => stream.once("close", resume));
    stream.on("error", () => undefined).resume();
    const began = performance.now();
    expect((await bench.ask("DELETE", `/devices/${id}`)).status).toBe(204);
    await cut;
    expect(performance.now() - began).toBeLessThan(10_000);
    const answer = await jobs({ cookie });
    expect(answer.status).toBe(401);
    expect((await bench.ask("DELETE", `/devices/${id}`)).status).toBe(404);
  });

  it("is listed by name, can be renamed, and its key runs out", async () => {
    const { cookie, id } = await cookieOf(await codeNow());
    await jobs({ cookie });
    expect((await bench.ask("PATCH", `/devices/${id}`, { json: { name: "bay 2" } })).body).toMatchObject({
      name: "bay 2",
    });
    const listed = (await bench.ask("GET", "/devices")).body.find((one: { id: string }) => one.id === id);
    expect(listed).toMatchObject({ name: "bay 2", seenAt: expect.any(String) });
    expect(JSON.stringify(listed)).not.toMatch(/hash|key/i);
    aheadMs = 91 * DAY_MS;
    expect((await jobs({ cookie })).status).toBe(401);
    aheadMs = 0;
    expect((await jobs({ cookie })).status).toBe(200);
  });
});

describe("a key", () => {
  const deny = (headers: Record<string, string>, path = "/api/v1/jobs") =>
    raw(outside().port, path, { headers: { ...own(), ...headers } });

  it("is written down nowhere in the data folder, though whoever asked for it named the write", async () => {
    const named = (name: string) => ({ "idempotency-key": `"${name}"` });
    const { code } = (await bench.ask("POST", "/pairings", { headers: named("pair") })).body;
    const again = (await bench.ask("POST", "/pairings", { headers: named("pair") })).body.code;
    expect(again).not.toBe(code); // not kept, so not given twice
    const headers = { ...own(), ...named("claim") };
    const { key } = JSON.parse((await claim(again, { tellKey: true }, headers)).text);
    const tcp = await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "gate", port: 0 } });
    const gate = (await bench.ask("POST", `/receivers/${tcp.body.id}/key`, { headers: named("gate") })).body.key;
    const folder = bench.house.folder.path;
    const files = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
    const all = files.map(({ parentPath, name }) => readFileSync(join(parentPath, name), "latin1")).join("\n");
    expect(all).toContain("the tablet"); // it is the folder that is written to
    for (const secret of [code, again, key, gate]) expect(all).not.toContain(secret);
  });

  it("that is nobody's any more is taken from the browser, and bars neither the page nor a new code", async () => {
    const { cookie, id } = await cookieOf(await codeNow());
    await bench.ask("DELETE", `/devices/${id}`);
    const answer = await deny({ cookie });
    expect(answer.headers["set-cookie"]?.[0]).toMatch(/^wheelgram-device=; .*Max-Age=0;/);
    for (let i = 0; i < 30; i++) expect((await deny({ cookie }, "/api/v1/network")).status).toBe(200);
    const statuses = [];
    for (let i = 0; i < 12; i++) statuses.push((await deny({ cookie })).status);
    expect(statuses.slice(-2)).toEqual([429, 429]);
    expect((await claim(await codeNow(), {}, { ...own(), cookie })).status).toBe(201);
  });

  it("that is right opens, however many wrong ones came before it", async () => {
    const { cookie } = await cookieOf(await codeNow());
    for (let i = 0; i < 120; i++) await deny({ authorization: `Bearer wrong${i}` });
    expect((await deny({ authorization: "Bearer wrong" })).status).toBe(429);
    expect((await jobs({ cookie })).status).toBe(200);
  });

  it("lets nobody open a file of this computer by its path", async () => {
    const { cookie } = await cookieOf(await codeNow());
    const write = (method: string, path: string, body: object) =>
      raw(outside().port, `/api/v1${path}`, {
        method,
        headers: { ...own(), cookie, "content-type": "application/json" },
        body: JSON.stringify(body),
      }).then(({ status, text }) => ({ status, body: JSON.parse(text) }));
    const path = join(bench.house.folder.path, "certificate.pem");
    expect((await write("POST", "/receivers", { kind: "replay", name: "r", path, speed: 1 })).status).toBe(403);
    expect((await write("POST", "/receivers", { kind: "serial", name: "s", path, baudRate: 9600 })).status).toBe(403);
    const listed = await write("POST", "/receivers", { kind: "serial", name: "s", path: LISTED, baudRate: 9600 });
    expect(listed.status).toBe(201);
    expect((await write("PATCH", `/receivers/${listed.body.id}`, { path })).status).toBe(403);
    expect((await write("PATCH", `/receivers/${listed.body.id}`, { name: "bay 2" })).status).toBe(200);
    expect(await bench.house.store.quarantined(undefined, 10)).toEqual([]);
  });
});

describe("a code", () => {
  it("runs out after five minutes, and no more than five stand at once", async () => {
    const old = await codeNow();
    aheadMs = 5 * 60_000;
    expect((await claim(old)).status).toBe(401);
    const codes = [];
    for (let i = 0; i < 6; i++) codes.push(await codeNow());
    expect((await claim(codes[0] ?? "")).status).toBe(401);
    expect((await claim(codes[5] ?? "")).status).toBe(201);
    aheadMs = 0;
  });

  it("cannot be tried out: after ten wrong ones in a minute nobody from that address is answered, right or not", async () => {
    aheadMs = 10 * 60_000; // what was wrong before is forgotten
    const right = await codeNow();
    for (let i = 0; i < 10; i++) expect((await claim(`wrong${i}`)).status).toBe(401);
    const answer = await claim(right);
    expect(answer.status).toBe(429);
    expect(Number(answer.headers["retry-after"])).toBeGreaterThan(0);
    aheadMs = 11.5 * 60_000;
    expect((await claim(right)).status).toBe(201);
    aheadMs = 0;
  });
});
