import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { complaintLine } from "../../decoders/layouts/complaint.ts";
import { interpolated } from "../../seeds/field-values.ts";
import { parseScenario } from "../../seeds/scenario.ts";

const sensor = {
  name: "left front",
  layout: "pilot-car",
  identity: "1f00ba00",
  pressureKpa: [{ atSeconds: 0, kPa: 230 }],
  temperatureC: [{ atSeconds: 0, degC: 20 }],
  carrierHz: 433_920_000,
  level: { ebN0Db: 25 },
  sends: [{ atSeconds: 0.1 }],
};
const plain = {
  title: "One wheel",
  seed: 1,
  durationSeconds: 1,
  startsAt: "2026-03-02T08:15:00Z",
  receiver: {
    name: "bay receiver",
    sampleRateHz: 250_000,
    sampleType: "cu8",
    noiseDbfs: -36,
    tunings: [{ fromSeconds: 0, carrierHz: 433_920_000 }],
  },
  sensors: [sensor],
  outputs: ["recording"],
};
const withSensor = (change: object) => ({ ...plain, sensors: [{ ...sensor, ...change }] });
const withBroken = (broken: object) => withSensor({ sends: [{ atSeconds: 0.1, broken }] });
const withReceiver = (change: object) => ({ ...plain, receiver: { ...plain.receiver, ...change } });
const tunings = (...at: number[]) => at.map((fromSeconds) => ({ fromSeconds, carrierHz: 433_920_000 }));
const walk = (...points: [atSeconds: number, hz: number][]) => points.map(([atSeconds, hz]) => ({ atSeconds, hz }));
const withGauge = (change: object) => ({
  ...plain,
  gaugeLog: { sensor: "left front", everySeconds: 0.5, stepKpa: 0.5, stepDegC: 0.5, ...change },
});
const ownLayout = { ...builtinLayouts.find(({ id }) => id === "pilot-car")!, id: "own" };

const refused: readonly (readonly [string, unknown, string])[] = [
  ["an unknown key", { ...plain, colour: "red" }, "colour: found"],
  ["no seed", { ...plain, seed: undefined }, "seed: found nothing"],
  ["a seed that is no integer", { ...plain, seed: 1.5 }, "seed: found 1.5"],
  ["a time of another zone", { ...plain, startsAt: "2026-03-02T08:15:00+01:00" }, "startsAt: found"],
  ["a day that does not exist", { ...plain, startsAt: "2026-02-30T08:15:00Z" }, "startsAt: found"],
  ["an output twice", { ...plain, outputs: ["lines", "lines"] }, "outputs[1]: found"],
  ["a sample type", withReceiver({ sampleType: "cu16" }), "receiver.sampleType: found"],
  [
    "a first tuning that is late",
    withReceiver({ tunings: tunings(0.1) }),
    "receiver.tunings[0].fromSeconds: found 0.1",
  ],
  [
    "tunings out of order",
    withReceiver({ tunings: tunings(0, 0.5, 0.4) }),
    "receiver.tunings[2].fromSeconds: found 0.4",
  ],
  ["a tuning after the end", withReceiver({ tunings: tunings(0, 1) }), "receiver.tunings[1].fromSeconds: found 1"],
  ["an unknown layout", withSensor({ layout: "pilot-cart" }), "sensors[0].layout: found"],
  ["a carrier that is not the layout's", withSensor({ carrierHz: 315e6 }), "sensors[0].carrierHz: found 315000000"],
  ["an identity too wide", withSensor({ identity: "11f00ba00" }), "sensors[0].identity: found"],
  [
    "an identity too wide of a dumb sensor",
    withSensor({ identity: "11f00ba00", sends: [], dumb: true }),
    "sensors[0].identity: found",
  ],
  ["an identity that is no hex", withSensor({ identity: "0x12" }), "sensors[0].identity: found"],
  ["a field that does not exist", withSensor({ values: { moed: 1 } }), "sensors[0].values.moed: found 1"],
  ["a constant's or identity's value", withSensor({ values: { sensor: 1 } }), "sensors[0].values.sensor: found 1"],
  ["a word that the code has not", withSensor({ values: { mode: "asleep" } }), "sensors[0].values.mode: found"],
  ["a flag's value for a number", withSensor({ values: { count: true } }), "sensors[0].values.count: found true"],
  ["a raw value too large", withSensor({ values: { count: 4 } }), "sensors[0].values.count: found 4"],
  [
    "a pressure too high",
    withSensor({ pressureKpa: [{ atSeconds: 0, kPa: 600 }] }),
    "sensors[0].pressureKpa: found 600",
  ],
  ["no pressure", withSensor({ pressureKpa: undefined }), "sensors[0].pressureKpa: found nothing"],
  ["no temperature", withSensor({ temperatureC: undefined }), "sensors[0].temperatureC: found nothing"],
  [
    "a send's field",
    withSensor({ sends: [{ atSeconds: 0, values: { no: 1 } }] }),
    "sensors[0].sends[0].values.no: found",
  ],
  [
    "a bit that the frame has not",
    withBroken({ flipBits: [3, 72] }),
    "sensors[0].sends[0].broken.flipBits[1]: found 72",
  ],
  ["a bit turned twice", withBroken({ flipBits: [3, 3] }), "sensors[0].sends[0].broken.flipBits[1]: found 3"],
  [
    "a symbol that the frame has not",
    withBroken({ flipSymbols: [144] }),
    "sensors[0].sends[0].broken.flipSymbols[0]: found 144",
  ],
  [
    "more cut than the sync has",
    withBroken({ cutSyncSymbols: 17 }),
    "sensors[0].sends[0].broken.cutSyncSymbols: found 17",
  ],
  [
    "more cut than the frame has",
    withBroken({ cutEndSymbols: 145 }),
    "sensors[0].sends[0].broken.cutEndSymbols: found 145",
  ],
  ["a send after the end", withSensor({ sends: [{ atSeconds: 1 }] }), "sensors[0].sends[0].atSeconds: found 1"],
  [
    "sends that overlap",
    withSensor({ sends: [{ atSeconds: 0.1 }, { atSeconds: 0.2 }] }),
    "sensors[0].sends[1].atSeconds",
  ],
  ["sends of a dumb sensor", withSensor({ dumb: true }), "sensors[0].sends: found"],
  ["a carrier across the band's edge", withSensor({ offsetHz: 90_000 }), "sensors[0].offsetHz: found 90000"],
  [
    "a carrier that walks across the band's edge",
    withSensor({ carrierWalkHz: walk([0, 0], [1, 90_000]) }),
    'sensors[0].carrierWalkHz: found [{"atSeconds":0,"hz":0}',
  ],
  [
    "a carrier that sends on its way across the band's edge",
    withSensor({ carrierWalkHz: walk([0, 0], [1, 900_000]) }),
    "sensors[0].carrierWalkHz: found",
  ],
  [
    "a walk out of order",
    withSensor({ carrierWalkHz: walk([0.5, 0], [0.4, 1]) }),
    "sensors[0].carrierWalkHz[1].atSeconds: found 0.4",
  ],
  ["a walk without a point", withSensor({ carrierWalkHz: [] }), "sensors[0].carrierWalkHz: found"],
  ["two sensors of one name", { ...plain, sensors: [sensor, sensor] }, "sensors[1].name: found"],
  ["a slow receiver", withReceiver({ sampleRateHz: 60_000 }), "sensors[0].layout: found"],
  ["a level of neither kind", withSensor({ level: { db: 1 } }), "sensors[0].level"],
  [
    "points out of order",
    withSensor({
      temperatureC: [
        { atSeconds: 0.5, degC: 1 },
        { atSeconds: 0.5, degC: 2 },
      ],
    }),
    "sensors[0].temperatureC[1].atSeconds: found 0.5",
  ],
  [
    "fading of nobody",
    { ...plain, events: [{ kind: "fading", sensor: "spare", fromSeconds: 0, toSeconds: 1, dropDb: 3 }] },
    "events[0].sensor: found",
  ],
  [
    "an event that ends before it begins",
    { ...plain, events: [{ kind: "lost", fromSeconds: 0.5, toSeconds: 0.4 }] },
    "events[0].toSeconds: found 0.4",
  ],
  ["an event after the end", { ...plain, events: [{ kind: "wake", atSeconds: 2 }] }, "events[0].atSeconds: found 2"],
  [
    "a carrier outside the band",
    { ...plain, events: [{ kind: "steady-carrier", carrierHz: 434.2e6, dbfs: -30, fromSeconds: 0, toSeconds: 1 }] },
    "events[0].carrierHz: found 434200000",
  ],
  ["a gauge at no sensor", withGauge({ sensor: "spare" }), "gaugeLog.sensor: found"],
  [
    "a gauge at a sensor without pressure and temperature",
    {
      ...withGauge({ sensor: "rear" }),
      sensors: [sensor, { ...sensor, name: "rear", pressureKpa: undefined, dumb: true, sends: [] }],
    },
    "gaugeLog.sensor: found",
  ],
  ["a gauge read all the time", withGauge({ everySeconds: 0 }), "gaugeLog.everySeconds: found 0"],
  ["a gauge without a step", withGauge({ stepKpa: undefined }), "gaugeLog.stepKpa: found nothing"],
  ["a gauge's unknown key", withGauge({ stepPsi: 1 }), "gaugeLog.stepPsi: found"],
  ["an unknown event", { ...plain, events: [{ kind: "rain" }] }, "events[0].kind: found"],
  ["a layout's fault", { ...plain, layouts: [{ layout: { ...ownLayout, bits: 40 } }] }, "layouts[0].layout.fields"],
  [
    "a layout that exists",
    { ...plain, layouts: [{ layout: { ...ownLayout, id: "pilot-car" } }] },
    "layouts[0].layout.id",
  ],
  [
    "checks that cover each other",
    {
      ...plain,
      layouts: [
        {
          layout: {
            ...ownLayout,
            checks: [
              { kind: "xor", width: 4, covers: [[68, 4]], at: 64 },
              { kind: "xor", width: 4, covers: [[64, 4]], at: 68 },
            ],
          },
        },
      ],
    },
    "layouts[0].layout.checks: found",
  ],
];

describe("a scenario", () => {
  it.each(refused)("with %s is refused by the key", (_, input, key) => {
    const parsed = parseScenario(input);
    expect(parsed.ok ? [] : parsed.complaints.map(complaintLine)).toContainEqual(expect.stringContaining(key));
  });

  it("that is whole is taken, its layouts found and the sea-level pressure filled in", () => {
    const parsed = parseScenario({ ...plain, layouts: [{ unknown: true, layout: ownLayout }] });
    if (!parsed.ok) throw new Error(parsed.complaints.map(complaintLine).join("; "));
    expect(parsed.scenario.ambientKpa).toBe(101.325);
    expect(parsed.scenario.unknownIds).toEqual(new Set(["own"]));
    expect(parsed.scenario.layoutById.size).toBe(builtinLayouts.length + 1);
  });

  it("of this folder is whole, each one, and together they use all that there is", () => {
    const folder = new URL("../../seeds/", import.meta.url);
    const names = readdirSync(folder).filter((name) => name.endsWith(".json"));
    const scenarios = names.map((name) => {
      const parsed = parseScenario(JSON.parse(readFileSync(new URL(name, folder), "utf8")));
      if (!parsed.ok) throw new Error(`${name}: ${parsed.complaints.map(complaintLine).join("; ")}`);
      return parsed.scenario;
    });
    const layouts = new Set(scenarios.flatMap(({ sensors }) => sensors.map(({ layout }) => layout)));
    for (const { id } of builtinLayouts) expect(layouts).toContain(id);
    expect(new Set(scenarios.map(({ receiver }) => receiver.sampleType)).size).toBe(4);
    expect(scenarios.filter(({ outputs }) => outputs.includes("lines")).length).toBeGreaterThanOrEqual(3);
    expect(new Set(scenarios.map(({ seed }) => seed)).size).toBe(scenarios.length);
  });
});

describe("a quantity over time", () => {
  it("runs straight between its points and stays level outside", () => {
    const points = [
      [1, 100],
      [3, 200],
    ] as const;
    expect([0, 1, 1.5, 3, 9].map((seconds) => interpolated(points, seconds))).toEqual([100, 100, 125, 200, 200]);
    expect(interpolated([[5, 7]], 0)).toBe(7);
  });
});
