import { afterAll, beforeAll, expect, it } from "vitest";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { talkTo } from "../support/hub-bench.ts";
import { until } from "../support/receiver-bench.ts";
import { linesFrom } from "../support/samples.ts";

let bench: HttpBench;
beforeAll(async () => {
  bench = await openBench();
  const { port } = (await bench.ask("POST", "/receivers", { json: { kind: "tcp", name: "kerb side", port: 0 } })).body;
  const talk = await talkTo(port);
  await talk.send(linesFrom("sound-car", new Date("2026-11-25T09:00:00Z"), "b1"));
  await until(async () => (await bench.house.store.telegrams({ limit: 9 })).items.length === 4);
  await talk.end();
});
afterAll(() => bench.close());

const text = async (): Promise<string> => (await bench.ask("GET", "/metrics")).body;

it("tell what receivers brought, in the text form of Prometheus", async () => {
  await expect.poll(text).toContain('wheelgram_receiver_telegrams_total{receiver="kerb side"} 4');
  const told = await text();
  expect(told).toContain('wheelgram_receiver_lines_total{receiver="kerb side"} 21');
  expect(told).toContain("wheelgram_telegram_pressure_pascals_count 4");
  expect(Number(/wheelgram_telegram_pressure_pascals_sum (\S+)/.exec(told)?.[1]) / 4).toBeGreaterThan(2e5);
  expect(told).toMatch(
    /wheelgram_http_request_duration_seconds_count\{method="POST",route="\/api\/v1\/receivers",status="201"\} 1/,
  );
  expect(await text()).toContain('wheelgram_receiver_telegrams_total{receiver="kerb side"} 4'); // looking counts nothing
});

it("have names and labels as the guide asks for, each with a type and a help, and nobody's identity", async () => {
  const told = await text();
  const ids = (await bench.house.store.telegrams({ limit: 9 })).items.map(({ identity }) => identity ?? "");
  for (const id of ids) expect(told).not.toContain(id);
  const types = new Map([...told.matchAll(/^# TYPE (\S+) (\S+)$/gm)].map(([, name = "", type = ""]) => [name, type]));
  const helps = new Set([...told.matchAll(/^# HELP (\S+) \S/gm)].map(([, name]) => name));
  const own = [...types].filter(([name]) => name.startsWith("wheelgram_"));
  expect(own.length).toBeGreaterThan(8);
  for (const [name, type] of own) {
    expect(helps.has(name)).toBe(true);
    expect(name).toMatch(/^[a-z]+(_[a-z]+)*$/);
    expect([name, name.endsWith("_total")]).toEqual([name, type === "counter"]);
    expect(name).not.toMatch(/_(milliseconds|ms|kpa|psi|bar|mhz|fahrenheit)(_|$)/);
    if (type === "histogram") expect(name).toMatch(/_(seconds|pascals|celsius)$/);
  }
  const labels = new Set(
    [...told.matchAll(/^wheelgram\S*?\{([^}]*)\}/gm)].flatMap(([, all = ""]) =>
      [...all.matchAll(/(\w+)="/g)].map(([, name]) => name),
    ),
  );
  expect([...labels].toSorted()).toEqual(["le", "method", "receiver", "route", "status", "version"]);
});
