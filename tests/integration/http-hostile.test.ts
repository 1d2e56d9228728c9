import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { emptyCard } from "../support/http-samples.ts";
import { raw } from "../support/raw-request.ts";

// What a page of somebody else, a name that points here, and a computer on the same network can send. None of it may be
// answered with anything of ours, nor change anything.

let bench: HttpBench;
let port: number;
beforeAll(async () => {
  bench = await openBench({ open: true });
  port = Number(new URL(bench.address).port);
});
afterAll(() => bench.close());

const own = () => `localhost:${port}`;
const hostile: readonly (readonly [string, () => Record<string, string>])[] = [
  ["a name that was made to point here", () => ({ host: "evil.example" })],
  ["that name with our port", () => ({ host: `evil.example:${port}` })],
  ["a name that begins like ours", () => ({ host: `localhost.evil.example:${port}` })],
  ["a name that begins like our address", () => ({ host: `127.0.0.1.evil.example:${port}` })],
  ["a name that ends like ours", () => ({ host: `evil-localhost:${port}` })],
  ["a user in front of a name", () => ({ host: `localhost@evil.example:${port}` })],
  ["another address of loopback", () => ({ host: `127.0.0.2:${port}` })],
  ["our address as a number", () => ({ host: `2130706433:${port}` })],
  ["our address in octal", () => ({ host: `0177.0.0.1:${port}` })],
  ["all addresses", () => ({ host: `0.0.0.0:${port}` })],
  ["our address as one of the newer kind", () => ({ host: `[::ffff:127.0.0.1]:${port}` })],
  ["a dot behind our name", () => ({ host: `localhost.:${port}` })],
  ["two names", () => ({ host: `localhost:${port}, evil.example` })],
  ["a name that is none", () => ({ host: "-" })],
  ["an address of the network", () => ({ host: `192.168.1.5:${port}` })],
  ["our name and a path", () => ({ host: `localhost:${port}/..` })],
  ["a port that is none", () => ({ host: "localhost:999999" })],
  ["a page of another site", () => ({ host: own(), origin: "https://evil.example" })],
  ["a page that hides its name", () => ({ host: own(), origin: "null" })],
  ["a page at another port of this computer", () => ({ host: own(), origin: `http://localhost:${port + 1}` })],
  ["a page at our port in HTTPS", () => ({ host: own(), origin: `https://localhost:${port}` })],
  ["a page at another loopback name", () => ({ host: own(), origin: `http://127.0.0.1:${port}` })],
  ["a page whose name begins like ours", () => ({ host: own(), origin: `http://localhost:${port}.evil.example` })],
  ["an extension of the browser", () => ({ host: own(), origin: "chrome-extension://abcdefghijklmnop" })],
  ["a file", () => ({ host: own(), origin: "file://" })],
  ["another site, said by the browser", () => ({ host: own(), "sec-fetch-site": "cross-site" })],
  ["a site beside ours", () => ({ host: own(), "sec-fetch-site": "same-site" })],
  ["another site by a script", () => ({ host: own(), "sec-fetch-site": "cross-site", "sec-fetch-mode": "cors" })],
  ["another site by a picture", () => ({ host: own(), "sec-fetch-site": "cross-site", "sec-fetch-dest": "image" })],
  ["another site by a frame", () => ({ host: own(), "sec-fetch-site": "cross-site", "sec-fetch-dest": "iframe" })],
  [
    "our own origin from another site",
    () => ({ host: own(), origin: `http://${own()}`, "sec-fetch-site": "cross-site" }),
  ],
  [
    "another site with our origin's letters",
    () => ({ host: own(), origin: `HTTP://EVIL.example`, "sec-fetch-site": "same-origin" }),
  ],
  ["a forwarded name", () => ({ host: "evil.example", "x-forwarded-host": own() })],
  ["a word that is no site", () => ({ host: own(), "sec-fetch-site": "nowhere" })],
];

it("there are thirty of them and more", () => expect(hostile.length).toBeGreaterThanOrEqual(30));

describe.each(hostile)("%s", (_, headers) => {
  it("reads nothing, hears nothing, writes nothing and uploads nothing", async () => {
    const before = (await bench.ask("GET", "/jobs")).body.length;
    const json = { ...headers(), "content-type": "application/json" };
    const answers = [
      await raw(port, "/api/v1/jobs", { headers: headers() }),
      await raw(port, "/api/v1/events", { headers: headers() }),
      await raw(port, "/api/v1/jobs", { method: "POST", headers: json, body: JSON.stringify(emptyCard) }),
      await raw(port, "/api/v1/recordings?type=cu8&rate=250000&carrier=433920000&name=x.iq", {
        method: "POST",
        headers: headers(),
        body: new Uint8Array(5000),
      }),
      await raw(port, "/api/v1/samples", { method: "DELETE", headers: headers() }),
    ];
    for (const { status, headers: told, text } of answers) {
      expect([400, 403, 421]).toContain(status);
      expect(told["access-control-allow-origin"]).toBeUndefined();
      expect(JSON.parse(text).nextSteps.length).toBeGreaterThan(0);
    }
    expect((await bench.ask("GET", "/jobs")).body.length).toBe(before);
    expect((await bench.ask("GET", "/recordings")).body).toEqual([]);
  });
});

const SPELLINGS = [
  "/API/v1/jobs",
  "/Api/V1/Jobs",
  "//api/v1/jobs",
  "/api//v1/jobs",
  "/%61pi/v1/jobs",
  "/api%2fv1%2fjobs",
  "/./api/v1/jobs",
  "/x/../api/v1/jobs",
  "/api/v1/jobs/",
  "/api/v1/jobs?x=/assets/",
  "/assets/../api/v1/jobs",
  "/api\\v1\\jobs",
];

describe("from the network", () => {
  const there = () => bench.network ?? { port: 0, host: "" };

  it("a name of loopback, or one of somebody else, opens nothing", async () => {
    const { port: outside } = there();
    for (const host of [own(), `127.0.0.1:${outside}`, `localhost:${outside}`, `evil.example:${outside}`]) {
      expect((await raw(outside, "/api/v1/jobs", { headers: { host } })).status).toBe(421);
      expect((await raw(outside, "/", { headers: { host, accept: "text/html" } })).status).toBe(421);
    }
  });

  it("without a key nothing but the pages and the swap of a code is answered", async () => {
    const { port: outside, host } = there();
    for (const path of ["/jobs", "/events", "/recordings", "/devices", "/openapi.json", "/receivers", "/none"]) {
      const answer = await raw(outside, `/api/v1${path}`, { headers: { host } });
      expect([path, answer.status]).toEqual([path, 401]);
      expect(JSON.parse(answer.text).type).toBe("/help/problems/not-paired");
    }
    for (const key of ["x", "A".repeat(43), "../../etc", "A".repeat(2000)]) {
      const headers = { host, authorization: `Bearer ${key}` };
      expect([401, 429]).toContain((await raw(outside, "/api/v1/jobs", { headers })).status);
    }
    // However the path is spelled, nothing of the interface comes back.
    for (const path of SPELLINGS) {
      const answer = await raw(outside, path, { headers: { host, accept: "text/html" } });
      expect([path, [401, 404, 503].includes(answer.status)]).toEqual([path, true]);
      expect(answer.text).not.toContain('"plate"');
      expect(answer.headers["content-type"]).not.toBe("application/json; charset=utf-8");
    }
    const network = JSON.parse((await raw(outside, "/api/v1/network", { headers: { host } })).text);
    expect(network).toMatchObject({ open: true, here: false, device: null, addresses: [], deviceCount: 0 });
  });
});
