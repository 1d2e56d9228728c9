import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { talkTo } from "../support/hub-bench.ts";
import { linesFrom } from "../support/samples.ts";

let bench: HttpBench;
let ports = async () => [{ path: "/dev/ttyX0", label: "/dev/ttyX0, Harbour Radio" }];
beforeAll(async () => {
  bench = await openBench({ serialPorts: () => ports() });
});
afterAll(() => bench.close());

const begin = new Date("2026-11-25T09:00:00Z");

describe("a receiver", () => {
  it("is set up, renamed, heard and removed; what it said stays", async () => {
    const added = await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "door", port: 0 } });
    const { id, port } = added.body;
    expect([added.status, added.headers.get("location")]).toEqual([201, `/api/v1/receivers/${id}`]);
    expect(port).toBeGreaterThan(0);
    const path = `/receivers/${id}`;
    expect((await bench.ask("PATCH", path, { json: { name: "yard" } })).body.name).toBe("yard");

    const sender = await talkTo(port);
    await sender.send(linesFrom("sound-car", begin));
    await sender.send('{"type":"burst","sequence":21}\n');
    const telegrams = async () => (await bench.ask("GET", `/telegrams?receiver=${id}`)).body;
    await expect.poll(async () => (await telegrams()).length, { timeout: 60_000 }).toBe(4);
    await expect.poll(async () => (await bench.ask("GET", path)).body.quarantined).toBe(1);
    await sender.end();
    const aside = (await bench.ask("GET", `/quarantine?receiver=${id}`)).body;
    expect(aside).toMatchObject([{ receiverId: id, text: '{"type":"burst","sequence":21}' }]);
    expect((await bench.ask("GET", "/quarantine?receiver=none")).body).toEqual([]);
    expect((await bench.ask("GET", "/receivers")).body).toHaveLength(1);

    const said = await telegrams();
    expect((await bench.ask("DELETE", path)).status).toBe(204);
    expect((await bench.ask("GET", path)).status).toBe(404);
    expect((await bench.ask("DELETE", path)).status).toBe(404);
    expect(await telegrams()).toEqual(said);
  });

  it.each([
    [{ kind: "tcp", name: "", port: 1 }, "name"],
    [{ kind: "tcp", name: "a", port: 70_000 }, "port"],
    [{ kind: "serial", name: "a", path: "/dev/ttyX0" }, "baudRate"],
    [{ kind: "pigeon", name: "a" }, "kind"],
    [{ kind: "tcp", name: "a", port: 0, colour: 1 }, "colour"],
  ])("%j is refused by its key", async (json, path) => {
    const { status, body } = await bench.ask("POST", "/receivers", { json });
    expect([status, body.complaints[0].path]).toEqual([400, path]);
  });

  it("takes only changes that mean something to its kind", async () => {
    const { body } = await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "a", port: 0 } });
    const refused = await bench.ask("PATCH", `/receivers/${body.id}`, { json: { baudRate: 9600 } });
    expect([refused.status, refused.body.complaints[0].path]).toEqual([400, "baudRate"]);
    expect((await bench.ask("PATCH", "/receivers/none", { json: {} })).status).toBe(404);
    await bench.ask("DELETE", `/receivers/${body.id}`);
  });

  it("that cannot begin is there all the same, and says why", async () => {
    const json = { kind: "serial", name: "kerb", path: "/dev/no-such-port", baudRate: 115_200 };
    const { status, body } = await bench.ask("POST", "/receivers", { json });
    expect([status, body.lines]).toEqual([201, 0]);
    expect(body.says).toMatch(/\/dev\/no-such-port/);
    await bench.ask("DELETE", `/receivers/${body.id}`);
  });
});

describe("telegrams", () => {
  it("come in pages that lead from one to the next, newest first, each telegram once", async () => {
    const all = (await bench.ask("GET", "/telegrams")).body;
    expect(all).toHaveLength(4);
    const seen: unknown[] = [];
    let path = "/telegrams?limit=3&from=2026-11-25T09:00:00Z";
    for (let pages = 1; ; pages++) {
      const { body, headers } = await bench.ask("GET", path);
      seen.push(...body);
      const next = /^<\/api\/v1(\/telegrams\?[^>]+)>; rel="next"$/.exec(headers.get("link") ?? "")?.[1];
      if (next === undefined) {
        expect([pages, headers.get("link")]).toEqual([2, null]);
        break;
      }
      expect(next).toContain("limit=3");
      path = next;
    }
    expect(seen).toEqual(all);
    const times = all.map(({ at }: { at: string }) => at);
    expect(times).toEqual(times.toSorted().reverse());
  });

  it("are found by identity and by time", async () => {
    const { body } = await bench.ask("GET", "/telegrams?identity=3A51C0DE");
    expect(body.map(({ identity }: { identity: string }) => identity)).toEqual(["3a51c0de"]);
    const second = await bench.ask("GET", "/telegrams?from=2026-11-25T10:00:00.5%2B01:00&to=2026-11-25T09:00:01Z");
    expect(second.body.map(({ identity }: { identity: string }) => identity)).toEqual(["3a51c1a7"]);
    expect((await bench.ask("GET", "/telegrams?identity=none")).body).toEqual([]);
  });

  it.each(["from=yesterday", "limit=0", "limit=1e9", "cursor=x", "limit=1&limit=2", "sort=up"])(
    "refuse ?%s",
    async (query) => {
      const { status, body } = await bench.ask("GET", `/telegrams?${query}`);
      expect([status, body.complaints.length]).toEqual([400, 1]);
    },
  );

  it("that are not there are a 404", async () => {
    expect((await bench.ask("GET", "/telegrams/none")).status).toBe(404);
  });
});

describe("serial ports", () => {
  it("are listed in plain words", async () => {
    expect((await bench.ask("GET", "/serial-ports")).body).toEqual([
      { path: "/dev/ttyX0", name: "/dev/ttyX0, Harbour Radio" },
    ]);
  });

  it("that the system does not list are a sentence with a way out", async () => {
    ports = () => Promise.reject(new Error("udevadm is not there"));
    const { status, body } = await bench.ask("GET", "/serial-ports");
    expect([status, body.detail]).toEqual([503, "The system does not list its serial ports: udevadm is not there."]);
    expect(body.nextSteps[0]).toMatch(/^Type the port's path/);
  });
});
