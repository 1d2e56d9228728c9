import { analyse } from "../../../decoders/analyse.ts";
import { builtinLayouts } from "../../../decoders/layouts/builtin.ts";
import type { AnalysisRecord } from "../../../decoders/records.ts";
import { parseScenario } from "../../../seeds/scenario.ts";
import { synthesise } from "../../../seeds/synthesise.ts";
import { emptyJob, emptyWheel, type JobCard } from "../../../server/jobs/jobCard.ts";
import type { VisitHeard } from "../../../server/jobs/silence/input.ts";
import { type WakeMark, walkOf, withWalk } from "../../../server/jobs/walk.ts";
import { unreadable, wheelLines } from "../../../server/jobs/wheelLines.ts";
import type { StoredTelegram } from "../../../server/store/store.ts";
import { BANDS, type Band, type Fitted, SOUND, type Story, WHEELS } from "./story.ts";

const STARTS_AT = "2026-03-02T08:15:00Z";
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

/** The visit as the decoders hear it: the story on the air, recorded, analysed, and what follows from it for the card. */
export async function hear(story: Story): Promise<VisitHeard> {
  const records = await recordsOf(scenarioOf(story));
  const telegrams = storedTelegrams(records);
  const bursts = records.filter((record) => record.kind === "burst");
  const summary = records.find((record) => record.kind === "summary");
  if (!summary) throw new Error("an analysis without a summary");
  const card = cardOf(story);
  const walk = walkOf(
    card.wheels,
    wakesOf(story),
    telegrams.filter(({ telegram }) => telegram.verified),
  );
  const walked = withWalk(card, walk);
  const { lines, others } = wheelLines(walked, telegrams, unreadable(bursts), builtinLayouts);
  const threshold = 0.75 * story.placardKpa;
  const judged = lines.flatMap(({ gaugeKpa, placardKpa }) =>
    gaugeKpa === null || placardKpa === null ? [] : [gaugeKpa],
  );
  return {
    card: walked,
    byHand: handOf(card),
    lines,
    walk: walk.answers,
    telegrams,
    bursts,
    sampled: true,
    listenedHz: story.receiver.bands.map((band) => BANDS[band]),
    interfererShares: summary.interferers.map(({ share }) => share),
    nearbyCount: others.length,
    earlierCount: story.card.earlier === "no visit" ? null : story.card.earlier === "never" ? 0 : 3,
    earlierBatteryLow: story.card.earlier === "low battery",
    listed: listedOf(story),
    ageYears: story.card.ageYears,
    lowTyre: judged.length === 0 ? null : judged.some((kpa) => kpa <= threshold),
  };
}

function scenarioOf(story: Story): unknown {
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

function wakeSecond(order: number): number {
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

async function recordsOf(input: unknown): Promise<AnalysisRecord[]> {
  const parsed = parseScenario(input);
  if (!parsed.ok) throw new Error(`a story that cannot be: ${JSON.stringify(parsed.complaints[0])}`);
  const { recording } = synthesise(parsed.scenario);
  if (!recording) throw new Error("a story without a recording");
  const captures = parsed.scenario.receiver.tunings.map(({ fromSeconds, carrierHz }) => ({
    sampleStart: Math.round(fromSeconds * RATE_HZ),
    carrierHz,
  }));
  const source = {
    kind: "samples" as const,
    file: "visit",
    sampleType: parsed.scenario.receiver.sampleType,
    sampleRateHz: RATE_HZ,
    captures,
    blocks: recording.blocks(),
  };
  const records: AnalysisRecord[] = [];
  for await (const record of analyse(source, builtinLayouts)) records.push(record);
  return records;
}

function storedTelegrams(records: readonly AnalysisRecord[]): StoredTelegram[] {
  return records.flatMap((telegram, i) => {
    if (telegram.kind !== "telegram") return [];
    const sensor = telegram.fields["sensor"]?.value;
    const at = new Date(Date.parse(STARTS_AT) + 1000 * telegram.atSeconds).toISOString();
    return [
      {
        id: `t${i}`,
        at,
        on: { recordingHash: "visit" },
        identity: typeof sensor === "string" ? sensor : null,
        revision: 1,
        telegram,
      },
    ];
  });
}

function cardOf(story: Story): JobCard {
  const { card, placardKpa, vehicleBand, target } = story;
  const placard = card.placardTyped ? placardKpa : null;
  return {
    ...emptyJob(),
    visit: card.lamp,
    placardFrontKpa: placard,
    placardRearKpa: placard,
    expectedCarrierHz: card.bandKnown ? BANDS[vehicleBand] : null,
    recordingHashes: ["visit"],
    wheels: WHEELS.map((position) => {
      const own = story.fitted.get(position);
      const isNew = position === target && card.newSensor !== "no";
      const wheel = emptyWheel(position, card.identitiesKnown && own && !own.strange ? own.identity : null);
      if (!isNew) return wheel;
      const replaced = {
        oldIdentity: card.newSensor === "copied" ? wheel.identity : null,
        blank: card.newSensor === "blank",
        copied: card.newSensor === "copied",
        at: STARTS_AT,
      };
      return { ...wheel, replaced };
    }),
  };
}

function handOf({ wheels }: JobCard): ReadonlySet<string> {
  return new Set(wheels.filter(({ identity }) => identity !== null).map(({ position }) => position));
}

function wakesOf(story: Story): WakeMark[] {
  return WHEELS.filter((wheel) => !story.card.missedWakes.has(wheel)).map((position) => ({
    position,
    at: new Date(Date.parse(STARTS_AT) + 1000 * wakeSecond(WHEELS.indexOf(position))).toISOString(),
    by: "receiver" as const,
  }));
}

function listedOf({ card, vehicle }: Story): VisitHeard["listed"] {
  if (!card.listTyped || !card.identitiesKnown) return null;
  return vehicle.list === "empty" ? "empty" : vehicle.list === "lacks it" ? "not listed" : "listed";
}
