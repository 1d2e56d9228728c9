import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { noFleet } from "../support/fleet.ts";
import { type Sender, startSender } from "../support/fleet-senders.ts";
import { type FleetYard, startYard } from "../support/fleet-yard.ts";

describe.skipIf(noFleet)("two servers of a fleet", () => {
  let yard: FleetYard;
  let sender: Sender;
  beforeAll(async () => {
    yard = await startYard({ natsCount: 1, serverCount: 2, receiverCount: 1, workerCount: 1 });
    const port = yard.servers[0]?.receivers[0]?.port ?? 0;
    sender = startSender({ port: () => port, receiver: "gate", boot: "b1", perSecond: 50, shiftMs: 0 });
  }, 240_000);
  afterAll(async () => {
    sender?.stop();
    await yard?.close();
  });

  const own = () => yard.servers[0]?.receivers[0]?.id ?? "";
  const other = async (path: string, init?: RequestInit) => {
    const response = await fetch(`${yard.servers[1]?.address()}/api/v1${path}`, init);
    const text = await response.text();
    return { status: response.status, body: text === "" ? undefined : JSON.parse(text) };
  };

  it("both have the telegrams that a worker decodes of a receiver of one of them", async () => {
    await expect
      .poll(async () => (await other(`/telegrams?receiver=${own()}`)).body.length, { timeout: 120_000 })
      .toBeGreaterThan(5);
  });

  it("both tell their pages of them as they come", async () => {
    const ending = new AbortController();
    const { body } = await fetch(`${yard.servers[1]?.address()}/api/v1/events`, { signal: ending.signal });
    let text = "";
    for await (const chunk of body ?? []) {
      text += Buffer.from(chunk).toString();
      if (/event: telegram\b/.test(text) && text.includes(own())) break;
    }
    ending.abort();
    expect(text).toContain(own());
  });

  it("both show the receiver, with what its own server says of it", async () => {
    await expect
      .poll(async () => (await other(`/receivers/${own()}`)).body, { timeout: 60_000 })
      .toMatchObject({ id: own(), state: "listening", says: "One receiver is connected." });
    // They are counted when a worker has stored and decoded them.
    const counts = async () => (await other(`/receivers/${own()}`)).body;
    await expect.poll(async () => (await counts()).lines, { timeout: 60_000 }).toBeGreaterThan(0);
    await expect.poll(async () => (await counts()).telegrams, { timeout: 60_000 }).toBeGreaterThan(0);
  });

  it("change it only where it belongs, and say where that is", async () => {
    const { status, body } = await other(`/receivers/${own()}`, { method: "DELETE" });
    expect(status).toBe(409);
    expect(body.detail).toContain("belongs to server server-0 of the fleet");
    expect((await other(`/receivers/${own()}`)).status).toBe(200);
  });
});
