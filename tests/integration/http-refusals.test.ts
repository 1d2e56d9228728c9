import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { PROBLEMS } from "../../server/http/problems.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { emptyCard } from "../support/http-samples.ts";
import { type Raw, raw as rawRequest } from "../support/raw-request.ts";

let bench: HttpBench;
let webDir: string;
beforeAll(async () => {
  // A folder whose name begins with a dot, as a user's own data folder has.
  webDir = join(temporaryFolder("pages"), ".built");
  mkdirSync(join(webDir, "assets"), { recursive: true });
  writeFileSync(join(webDir, "index.html"), "<!doctype html><title>the pages</title>");
  writeFileSync(join(webDir, "assets", "main-abc123.js"), "export {};");
  writeFileSync(join(webDir, "mark.svg"), "<svg/>");
  bench = await openBench({ webDir });
});
afterAll(async () => {
  await bench.close();
  rmSync(join(webDir, ".."), { recursive: true });
});

function raw(method: string, path: string, headers: Record<string, string> = {}, body = ""): Promise<Raw> {
  return rawRequest(Number(new URL(bench.address).port), path, { method, headers, body });
}

/** What comes back on a connection on which these bytes are sent. */
async function said(bytes: string): Promise<string> {
  const socket = connect(Number(new URL(bench.address).port), "127.0.0.1");
  let text = "";
  socket.setEncoding("utf8").on("data", (part) => {
    text += part;
  });
  socket.write(bytes);
  await new Promise((resume) => socket.once("close", resume));
  return text;
}

describe("who may ask", () => {
  const port = () => new URL(bench.address).port;

  it.each([
    ["localhost", 200],
    ["localhost:1234", 200],
    ["127.0.0.1", 200],
    ["[::1]:8315", 200],
    ["LOCALHOST", 200],
    ["evil.example", 421],
    ["evil.example:8315", 421],
    ["127.0.0.1.evil.example", 421],
    ["localhost.evil.example", 421],
    ["localhost@evil.example", 421],
    ["192.168.1.5:8315", 421],
  ])("asked as %s: %i", async (host, status) => {
    const answer = await raw("GET", "/api/v1/health", { host });
    expect(answer.status).toBe(status);
    expect((await raw("GET", "/", { host, accept: "text/html" })).status).toBe(status);
  });

  it("by no name at all: 421", async () => {
    expect(await said("GET /api/v1/health HTTP/1.0\r\n\r\n")).toMatch(/^HTTP\/1\.1 421 /);
  });

  it.each([
    ["no browser", {}, 201],
    ["our own page", { origin: "OWN", "sec-fetch-site": "same-origin" }, 201],
    ["another port of this computer", { origin: "http://127.0.0.1:1", "sec-fetch-site": "same-site" }, 403],
    ["another site", { origin: "https://evil.example", "sec-fetch-site": "cross-site" }, 403],
    ["another site that hides its name", { origin: "null", "sec-fetch-site": "cross-site" }, 403],
    ["another site without an origin", { "sec-fetch-site": "cross-site" }, 403],
    ["our name over another scheme", { origin: "SECURE" }, 403],
  ])("a write from %s", async (_, headers: Record<string, string>, status) => {
    const own = { ...headers, host: `localhost:${port()}`, "content-type": "application/json" };
    if (headers["origin"] === "OWN") Object.assign(own, { origin: `http://localhost:${port()}` });
    if (headers["origin"] === "SECURE") Object.assign(own, { origin: `https://localhost:${port()}` });
    const before = (await bench.ask("GET", "/jobs")).body.length;
    expect((await raw("POST", "/api/v1/jobs", own, JSON.stringify(emptyCard))).status).toBe(status);
    expect((await bench.ask("GET", "/jobs")).body.length - before).toBe(status === 201 ? 1 : 0);
  });
});

describe("what a browser is told", () => {
  it("is a policy that allows nothing from elsewhere and nothing written into a page, and works over plain HTTP", async () => {
    for (const path of ["/", "/api/v1/health", "/help/api", "/assets/main-abc123.js", "/api/v1/none"]) {
      const { headers } = await raw("GET", path, { accept: "text/html" });
      const policy = String(headers["content-security-policy"]);
      expect(policy).toContain("default-src 'self'");
      expect(policy).toContain("frame-ancestors 'none'");
      expect(policy).not.toMatch(/unsafe-inline|'unsafe-eval'|upgrade-insecure|https?:/);
      expect(headers["x-content-type-options"]).toBe("nosniff");
      expect(headers["referrer-policy"]).toBe("no-referrer");
      expect(headers["strict-transport-security"]).toBeUndefined();
      expect(headers["cross-origin-opener-policy"]).toBeUndefined();
      expect(headers["x-powered-by"]).toBeUndefined();
      expect(headers["access-control-allow-origin"]).toBeUndefined();
    }
  });
});

describe("a request that cannot be served", () => {
  it.each([
    ["GET", "/none", {}, 404, "not-found"],
    ["DELETE", "/health", {}, 405, "method-not-allowed"],
    ["PUT", "/jobs", { json: {} }, 405, "method-not-allowed"],
    ["POST", "/jobs", { bytes: Buffer.from("{"), headers: { "content-type": "application/json" } }, 400, "not-json"],
    [
      "POST",
      "/jobs",
      { bytes: Buffer.from('{"a":1}'), headers: { "content-type": "text/plain" } },
      415,
      "not-that-type",
    ],
    ["POST", "/jobs", { json: {}, headers: { "content-encoding": "odd" } }, 415, "not-that-type"],
    ["POST", "/jobs", { json: { plate: "x".repeat(2 ** 20) } }, 413, "too-large"],
    ["POST", "/jobs", { json: {} }, 400, "not-fitting"],
    ["POST", "/recordings", { bytes: Buffer.from("x"), headers: { "content-encoding": "gzip" } }, 415, "not-that-type"],
    ["GET", "/health?x=1", {}, 400, "not-fitting"],
    ["GET", "/jobs/%E0%A4%A", {}, 400, "not-readable"],
  ])("%s %s is a problem with next steps and a page about it", async (method, path, asking, status, name) => {
    const answer = await bench.ask(method, path, asking);
    expect([answer.status, answer.body.type, answer.body.status]).toEqual([status, `/help/problems/${name}`, status]);
    expect(answer.body.nextSteps.length).toBeGreaterThan(0);
    const help = await raw("GET", answer.body.type);
    expect([help.status, help.text.includes("<h2>What to do</h2>")]).toEqual([200, true]);
  });

  it.each([
    ["no request at all", "PIGEON\r\n\r\n", /Parse Error/],
    ["a header without end", `GET / HTTP/1.1\r\nHost: localhost\r\nX: ${"a".repeat(20_000)}\r\n\r\n`, /too long/],
  ])("%s is a problem too", async (_, sent, detail) => {
    const text = await said(sent);
    expect(text).toMatch(/^HTTP\/1\.1 400 Bad Request\r\nContent-Type: application\/problem\+json/);
    const body = JSON.parse(text.slice(text.indexOf("\r\n\r\n")));
    expect(body).toMatchObject({ type: "/help/problems/not-readable", status: 400 });
    expect(body.detail).toMatch(detail);
    expect(body.nextSteps.length).toBeGreaterThan(0);
  });

  it("names the methods that the path takes", async () => {
    const { headers } = await bench.ask("PUT", "/jobs", { json: {} });
    expect(headers.get("allow")).toBe("GET, POST, HEAD, OPTIONS");
    const options = await bench.ask("OPTIONS", "/jobs");
    expect([options.status, options.headers.get("allow")]).toEqual([204, "GET, POST, HEAD, OPTIONS"]);
  });

  it("names the byte where JSON ends to be JSON", async () => {
    const asking = { bytes: Buffer.from('{"plate": }'), headers: { "content-type": "application/json" } };
    const { body } = await bench.ask("POST", "/jobs", asking);
    expect(body.complaints).toEqual([{ path: "byte 10", found: '"}"', allowed: "a JSON value" }]);
  });

  it("for a reason that nobody could have caused says under which mark the server noted it", async () => {
    const { store } = bench.house;
    const jobs = store.jobs;
    Object.assign(store, { jobs: () => Promise.reject(new Error("secret path /x/y")) });
    const { status, body } = await bench.ask("GET", "/jobs");
    Object.assign(store, { jobs });
    expect(status).toBe(500);
    expect(JSON.stringify(body)).not.toContain("secret");
    const mark = /under ([0-9a-z]{6})\./.exec(body.detail)?.[1];
    expect(bench.logged.filter((entry) => entry.startsWith(`${mark}: GET /api/v1/jobs: Error: secret`))).toHaveLength(
      1,
    );
  });
});

describe("whatever is sent", () => {
  const near = fc.record(
    {
      plate: fc.oneof(fc.string(), fc.integer()),
      odometerKm: fc.oneof(fc.double(), fc.constant(null), fc.string()),
      wheels: fc.oneof(fc.array(fc.anything(), { maxLength: 3 }), fc.string()),
      kind: fc.constantFrom("serial", "tcp", "replay", "pigeon", 1),
      port: fc.oneof(fc.integer(), fc.string()),
      id: fc.string(),
      fields: fc.array(fc.jsonValue(), { maxLength: 3 }),
    },
    { requiredKeys: [] },
  );

  it("as a body is refused in words, and never breaks the server", async () => {
    const paths = fc.constantFrom("/jobs", "/receivers", "/layouts", "/recordings/x/notes");
    await fc.assert(
      fc.asyncProperty(paths, fc.oneof(fc.jsonValue(), near), async (path, json) => {
        const text = JSON.stringify(json);
        const { status, body } = await bench.ask("POST", path, { json: text === undefined ? null : JSON.parse(text) });
        expect(status).toBeGreaterThanOrEqual(400);
        expect(status).toBeLessThan(500);
        expect(body.nextSteps.length).toBeGreaterThan(0);
      }),
      { seed: 2, numRuns: 150 },
    );
  });

  it("as bytes or as an address neither", async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 60 }), fc.string({ maxLength: 20 }), async (bytes, text) => {
        const words = encodeURIComponent(text);
        const headers = { "content-type": "application/json" };
        const answers = [
          await bench.ask("POST", "/jobs", { bytes, headers }),
          await bench.ask("POST", `/recordings?name=${words}`, { bytes }),
          await bench.ask("GET", `/telegrams?cursor=${words}x&identity=${words}`),
          await bench.ask("GET", `/recordings/${words}z/signal?from=${words}y`),
        ];
        for (const { status } of answers) expect([400, 404, 422]).toContain(status);
      }),
      { seed: 3, numRuns: 100 },
    );
  });
});

describe("help", () => {
  it.each(Object.keys(PROBLEMS))("has a page about %s, without scripts or styles in it", async (name) => {
    const { status, text, headers } = await raw("GET", `/help/problems/${name}`);
    expect([status, headers["content-type"]]).toEqual([200, "text/html; charset=utf-8"]);
    expect(text).toContain(String(PROBLEMS[name as keyof typeof PROBLEMS].title).replaceAll("'", "&#39;"));
    expect(text).not.toMatch(/<script|style=/);
  });

  it("has none about what is no problem", async () => {
    expect((await raw("GET", "/help/problems/none")).status).toBe(404);
    expect((await raw("GET", "/help/problems/toString")).status).toBe(404);
  });

  it("has its style as a file", async () => {
    expect((await raw("GET", "/help/page.css")).headers["content-type"]).toMatch(/^text\/css/);
  });
});

describe("the pages", () => {
  it.each(["/", "/jobs/7K3F/left-front", "/recordings/abc?v=1", "/layouts/pilot-car@2", "/help", "/words"])(
    "%s is the page of the house, which no cache keeps",
    async (path) => {
      const { status, text, headers } = await raw("GET", path, { accept: "text/html,*/*" });
      expect([status, headers["cache-control"]]).toEqual([200, "no-cache"]);
      expect(text).toContain("<title>the pages</title>");
    },
  );

  it("assets are kept for good, other files are asked for again", async () => {
    const asset = await raw("GET", "/assets/main-abc123.js");
    expect(asset.headers["cache-control"]).toBe("public, max-age=31536000, immutable");
    expect((await raw("GET", "/mark.svg")).headers["cache-control"]).toBe("no-cache");
  });

  it.each(["/assets/none.js", "/none.css", "/api/none", "/../package.json", "/%2e%2e/package.json"])(
    "%s is not there",
    async (path) => {
      const { status, headers } = await raw("GET", path, { accept: "text/html,*/*" });
      expect([404, 400, 403]).toContain(status);
      expect(headers["content-type"]).toBe("application/problem+json; charset=utf-8");
    },
  );

  it("say what to do where they are not built", async () => {
    const other = await openBench();
    const response = await fetch(other.address, { headers: { accept: "text/html" } });
    expect(response.status).toBe(503);
    expect(await response.text()).toContain("npm run build");
    await other.close();
  });
});
