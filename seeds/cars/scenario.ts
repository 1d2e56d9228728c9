import { BANDS, type Band, type Fitted, SOUND, type Story, WHEELS } from "./story.ts";

/** When the recording of a story begins. */
export const STARTS_AT = "2026-03-02T08:15:00Z";
const RATE_HZ = 250_000;
/** Each wheel is woken this long after the one before. */
const STRIDE_SECONDS = 0.3;
const LEAD_SECONDS = 0.15;
const ANSWER_SECONDS = 0.03;
const STRETCH_SECONDS = LEAD_SECONDS + WHEELS.length * STRIDE_SECONDS + 0.1;
/** Which layout a sensor of a band speaks, and one that nobody knows. */
const LAYOUT_OF: Readonly<Record<Band, string>> = { high: "pilot-car", low: "chandlers-van" };
const OPEN_LEAD_DB = 45;
const STRANGE = "quay-barrow";

/** What a story puts on the air while a technician goes round and wakes every wheel: the value of a scenario file. */
export function scenarioOf(story: Story): unknown {
  const { receiver, air, fitted, vehicleBand } = story;
  const sensors = WHEELS.flatMap((wheel, i) => {
    const own = fitted.get(wheel);
    const collides = air.collides && wheel === story.target;
    return own === undefined ? [] : sensorOf(story, wheel, own, sendTimes(story, wheel, own, i, collides));
  });
  const strangers = [
    { identity: air.answering, at: wakeSecond(WHEELS.indexOf(story.target)) + ANSWER_SECONDS, ebN0Db: 19 },
    { identity: air.passing, at: 0.05, ebN0Db: 15 },
  ].flatMap(({ identity, at, ebN0Db }, i) => {
    if (identity === undefined) return [];
    const one: Fitted = {
      ...SOUND,
      identity,
      band: vehicleBand,
      ebN0Db,
      offsetHz: 3e3 * (i + 1),
    };
    return sensorOf(story, `stranger ${i}`, one, [at]);
  });
  const bandHz = BANDS[receiver.bands[0]!];
  const whole = { fromSeconds: 0, toSeconds: STRETCH_SECONDS * receiver.bands.length };
  const events = [
    // What overloads a receiver is somebody else's strong sender beside the sensors' frequency: it takes the whole scale.
    ...(receiver.isOverloaded
      ? [
          {
            kind: "steady-carrier",
            carrierHz: BANDS[vehicleBand] + 60e3,
            dbfs: receiver.overloadDbfs,
            ...whole,
          },
        ]
      : []),
    ...(air.steady ? [{ kind: "steady-carrier", carrierHz: BANDS[vehicleBand] + 5e3, dbfs: -7, ...whole }] : []),
    ...(air.pulsed
      ? [
          {
            kind: "pulsed-carrier",
            carrierHz: BANDS[vehicleBand] - 4e3,
            dbfs: -7,
            onSeconds: 0.003,
            offSeconds: 0.0025,
            ...whole,
          },
        ]
      : []),
  ].filter(({ carrierHz }) => receiver.bands.some((band) => Math.abs(BANDS[band] - carrierHz) < 1e6));
  return {
    title: "A car with one fault",
    seed: story.seed,
    durationSeconds: STRETCH_SECONDS * receiver.bands.length,
    startsAt: STARTS_AT,
    receiver: {
      name: "bay",
      sampleRateHz: RATE_HZ,
      sampleType: "cu8",
      noiseDbfs: -38,
      tunings: receiver.bands.map((band, i) => ({ fromSeconds: i * STRETCH_SECONDS, carrierHz: BANDS[band] })),
    },
    layouts: [{ unknown: true, layout: strangeLayout(bandHz) }],
    sensors: [...sensors, ...strangers],
    events,
    outputs: ["recording"],
  };
}

/** When a wheel is woken, counted from the start of the recording; the first wheel of the walk has order 0. */
export function wakeSecond(order: number): number {
  return LEAD_SECONDS + order * STRIDE_SECONDS;
}

/** The technician goes round once for each band; a sensor that answers does so a moment after its wake. */
function sendTimes(story: Story, wheel: string, own: Fitted, order: number, collides: boolean): number[] {
  if (!own.alive || own.storage || own.blank || own.need !== "nothing" || story.card.missedWakes.has(wheel)) return [];
  // In a collision it answers the wake of the wheel before it, right on top of that one's answer.
  const at = collides ? wakeSecond((order + 3) % 4) + ANSWER_SECONDS + 0.0006 : wakeSecond(order) + ANSWER_SECONDS;
  return story.receiver.bands.map((_, i) => i * STRETCH_SECONDS + at);
}

function sensorOf({ receiver }: Story, name: string, own: Fitted, times: readonly number[]) {
  // With its antenna lead open, a receiver has its own noise and next to nothing of what is sent.
  const ebN0Db = own.ebN0Db - (receiver.isDeaf ? OPEN_LEAD_DB : 0);
  return [
    {
      name,
      layout: own.strange ? STRANGE : LAYOUT_OF[own.band],
      identity: own.strange ? own.identity.slice(1) : own.identity,
      pressureKpa: [{ atSeconds: 0, kPa: Math.round(own.gaugeKpa) }],
      temperatureC: [{ atSeconds: 0, degC: 21 }],
      carrierHz: BANDS[own.band],
      offsetHz: Math.round(own.offsetHz),
      clockPpm: Math.round(own.clockPpm),
      level: { ebN0Db },
      ...(times.length === 0 ? { dumb: true } : { sends: times.map((atSeconds) => ({ atSeconds, copies: 2 })) }),
    },
  ];
}

function strangeLayout(carrierHz: number) {
  return {
    id: STRANGE,
    title: "A layout that nobody has written down",
    origin: "invented",
    carrierHz: [carrierHz],
    modulation: "fsk",
    deviationHz: 28_000,
    symbolRate: 13_700,
    lineCode: "manchester-thomas",
    preamble: { symbols: "10", repeat: 20 },
    sync: { symbols: "1111000010110011" },
    bits: 64,
    repeats: { count: 2, gapSeconds: 0.05 },
    fields: [
      { name: "sensor", at: 4, bits: 28, type: "identity" },
      {
        name: "pressure",
        at: 32,
        bits: 8,
        type: "unsigned",
        quantity: "pressure",
        unit: "kPa",
        scale: 3,
        offset: 0,
        reference: "gauge",
      },
      {
        name: "temperature",
        at: 40,
        bits: 8,
        type: "unsigned",
        quantity: "temperature",
        unit: "degC",
        scale: 1,
        offset: -45,
      },
    ],
    checks: [
      {
        kind: "crc",
        width: 8,
        poly: "0x2f",
        init: "0x3c",
        refin: false,
        refout: false,
        xorout: "0x00",
        covers: [[0, 56]],
        at: 56,
      },
    ],
  };
}
