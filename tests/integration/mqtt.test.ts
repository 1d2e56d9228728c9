import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { existsSync, mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { connectAsync, type MqttClient } from "mqtt";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { jobBody } from "../../server/http/jobBody.ts";
import { type MqttOut, startMqtt } from "../../server/http/mqttOut.ts";
import { readMqttSettings } from "../../server/http/mqttSettings.ts";
import { StoredTelegramBody } from "../../server/http/wire.ts";
import { temporaryFolder } from "../support/folder.ts";
import { freePort } from "../support/free-port.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { emptyCard } from "../support/http-samples.ts";
import { talkTo } from "../support/hub-bench.ts";
import { runCommand } from "../support/run-command.ts";
import { linesFrom } from "../support/samples.ts";

const BROKER = "/usr/sbin/mosquitto";
const noBroker = existsSync(BROKER) || process.env["CI"] === "true" ? undefined : `${BROKER} is not installed`;

let folder: string;
let bench: HttpBench;
let broker: ChildProcess | undefined;
let port: number;
let out: MqttOut | undefined;
beforeEach(async () => {
  folder = temporaryFolder("mqtt");
  port = await freePort();
  bench = await openBench();
});
afterEach(async () => {
  await out?.stop();
  out = undefined;
  await bench.close();
  await endBroker();
  rmSync(folder, { recursive: true, force: true });
});

/** The broker keeps what is retained over its own restarts. */
async function startBroker(): Promise<void> {
  const kept = join(folder, "broker");
  mkdirSync(kept, { recursive: true, mode: 0o777 });
  spawnSync("chmod", ["777", folder, kept]);
  const config = join(folder, "broker.conf");
  writeFileSync(
    config,
    `listener ${port} 127.0.0.1\nallow_anonymous true\npersistence true\npersistence_location ${kept}/\n`,
  );
  broker = spawn(BROKER, ["-c", config], { stdio: "ignore" });
  await expect
    .poll(
      () =>
        connectAsync(`mqtt://127.0.0.1:${port}`, { reconnectPeriod: 0 })
          .then((c) => c.endAsync())
          .then(
            () => true,
            () => false,
          ),
      { timeout: 60_000 },
    )
    .toBe(true);
}

async function endBroker(): Promise<void> {
  const running = broker;
  broker = undefined;
  if (!running) return;
  const ended = new Promise((resume) => running.once("exit", resume));
  running.kill("SIGTERM");
  await ended;
}

interface Heard {
  readonly client: MqttClient;
  readonly messages: { readonly topic: string; readonly text: string; readonly retained: boolean }[];
}

/** @param lasting The broker remembers it while it is away, and keeps what comes meanwhile. */
async function subscriber(lasting = false): Promise<Heard> {
  const options = lasting ? { clientId: "lasting", clean: false, reconnectPeriod: 500 } : {};
  const client = await connectAsync(`mqtt://127.0.0.1:${port}`, options);
  const messages: { topic: string; text: string; retained: boolean }[] = [];
  client.on(
    "message",
    (topic, payload, { retain }) => void messages.push({ topic, text: payload.toString(), retained: retain }),
  );
  await client.subscribeAsync("shop/v1/#", { qos: 1 });
  return { client, messages };
}

async function start(): Promise<void> {
  const file = join(folder, "mqtt.json");
  writeFileSync(file, JSON.stringify({ url: `mqtt://127.0.0.1:${port}`, prefix: "shop" }));
  const job = async (id: string) => {
    const stored = await bench.house.store.job(id);
    return stored && jobBody(bench.house, stored);
  };
  const { events, store } = bench.house;
  out = await startMqtt({ events, store, job, log: () => undefined }, await readMqttSettings(file));
}

async function hear(boot: string, receiverPort: number): Promise<void> {
  const before = (await bench.house.store.telegrams({ limit: 99 })).items.length;
  const talk = await talkTo(receiverPort);
  await talk.send(linesFrom("sound-car", new Date(), boot));
  await expect.poll(async () => (await bench.house.store.telegrams({ limit: 99 })).items.length).toBe(before + 4);
  await bench.house.hub.rest();
  await talk.end();
}

describe.skipIf(noBroker)("an MQTT broker", () => {
  it("is told telegrams, findings and receivers, and of the server's going, by topics with a version", async () => {
    await startBroker();
    const { client, messages } = await subscriber();
    await start();
    const { id, port: receiverPort } = (
      await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "kerb side", port: 0 } })
    ).body;
    const wheels = ["3a51c0de", "3a51c1a7", null, null].map((identity, i) => ({ position: `wheel ${i}`, identity }));
    const card = { ...emptyCard, plate: "SECRET 1", wheels, receiverIds: [id] };
    const job = (await bench.ask("POST", "/jobs", { json: card })).body;
    await bench.ask("POST", `/jobs/${job.id}/runs`, { json: {}, headers: { "if-match": '"1"' } });
    await hear("b1", receiverPort);
    const of = (topic: string) => messages.filter((one) => one.topic === topic);
    await expect.poll(() => new Set(of(`shop/v1/telegrams/${id}`).map(({ text }) => JSON.parse(text).id)).size).toBe(4);
    for (const { text } of of(`shop/v1/telegrams/${id}`))
      expect(() => StoredTelegramBody.parse(JSON.parse(text))).not.toThrow();
    await expect.poll(() => of(`shop/v1/findings/${job.id}`).length).toBeGreaterThan(0);
    expect(JSON.parse(of(`shop/v1/findings/${job.id}`).at(-1)?.text ?? "").wheels).toHaveLength(4);
    expect(messages.map(({ text }) => text).join()).not.toContain("SECRET 1");
    expect(
      messages.every(({ topic }) =>
        /^shop\/v1\/(status|receivers\/[^/]+|telegrams\/[^/]+|findings\/[^/]+)$/.test(topic),
      ),
    ).toBe(true);

    const late = await subscriber();
    await expect.poll(() => late.messages.map(({ topic }) => topic)).toContain(`shop/v1/receivers/${id}`);
    expect(late.messages.every(({ retained }) => retained)).toBe(true);
    expect(late.messages.some(({ topic }) => topic.includes("telegrams"))).toBe(false);
    expect(late.messages.find(({ topic }) => topic === "shop/v1/status")?.text).toBe("online");
    await bench.ask("DELETE", `/jobs/${job.id}`, {
      headers: { "if-match": `"${(await bench.ask("GET", `/jobs/${job.id}`)).body.revision}"` },
    });
    await expect.poll(() => of(`shop/v1/findings/${job.id}`).at(-1)?.text).toBe("");
    await out?.stop();
    out = undefined;
    await expect.poll(() => of("shop/v1/status").at(-1)?.text).toBe("offline");
    await client.endAsync();
    await late.client.endAsync();
  });

  it("that was away is told what it missed, each telegram at least once and in order", async () => {
    await startBroker();
    const { client, messages } = await subscriber(true);
    await start();
    const { id, port: receiverPort } = (
      await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "kerb side", port: 0 } })
    ).body;
    await hear("b1", receiverPort);
    await new Promise((resume) => setTimeout(resume, 500));
    await endBroker();
    await hear("b2", receiverPort);
    await startBroker();
    const wanted = (await bench.house.store.telegrams({ limit: 4 })).items.map((one) => one.id);
    const told = () =>
      messages.filter(({ topic }) => topic === `shop/v1/telegrams/${id}`).map(({ text }) => JSON.parse(text).id);
    await expect.poll(() => wanted.every((one) => told().includes(one)), { timeout: 60_000 }).toBe(true);
    await client.endAsync();
  });
});

it("settings that do not fit are refused by file and key", async () => {
  const file = join(folder, "mqtt.json");
  for (const [text, said] of [
    ['{"url":"http://x"}', /mqtt\.json: url: found/],
    ['{"url":"mqtt://x","prefix":"/a"}', /mqtt\.json: prefix: found/],
    ['{"url":"mqtt://x","topics":1}', /mqtt\.json: topics: found/],
    ["{", /mqtt\.json: byte 1: found/],
  ] as const) {
    writeFileSync(file, text);
    const ran = await runCommand(["serve", "--port", "0", "--data", join(folder, "data"), "--mqtt", file]);
    expect([ran.status, ran.stdout]).toEqual([2, ""]);
    expect(ran.stderr).toMatch(said);
  }
});
