import type { Layout } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import type { Caught } from "../../decoders/workshop/caught.ts";
import { cutAgain, type Listened } from "../../decoders/workshop/cutAgain.ts";
import { derive } from "../../decoders/workshop/derive.ts";
import type { GaugeReading } from "../../decoders/workshop/gaugeLog.ts";
import { layoutOf } from "../../decoders/workshop/layoutOf.ts";
import { prove } from "../../decoders/workshop/prove.ts";
import { chance } from "../../seeds/noise.ts";
import { type Bay, caught, gaugeLog, judge, openBay, type Sent, send } from "./gaugeBay.ts";
import { manyRecordings } from "./manyRecordings.ts";
import { type Dice, dice, randomLayout } from "./randomLayout.ts";

const SECONDS = 360;
const SENSORS = 5;

/** What sensors of a layout sent, and what somebody read off a gauge meanwhile. */
export interface Case {
  readonly bay: Bay;
  readonly bursts: readonly Caught[];
  readonly log: readonly GaugeReading[];
  /** Telegrams like those, which nobody has seen. */
  readonly fresh: () => readonly Sent[];
}

const CASES = [
  ["ramp", (dice: Dice, seed: number) => rampCase(dice, seed, 20)],
  ["ramp without a check", (dice: Dice, seed: number) => rampCase(dice, seed, 20, false)],
  ["hand gauge", (dice: Dice, seed: number) => handCase(dice, seed)],
  ["ramp at 12 dB", (dice: Dice, seed: number) => rampCase(dice, seed, 12)],
] as const;

/**
 * Layouts drawn by chance, worked out again from what their sensors sent: one JSON line a draw, then shares and times.
 *
 * *Whole* is a layout that reads a hundred fresh telegrams: all verified, the identity tells the sensors apart, and
 * pressure and temperature lie within one step; with a hand gauge alone without the temperature.
 */
export default async function bench({ seed, draws = 20 }: { seed: number; draws: number | undefined }): Promise<void> {
  console.log(JSON.stringify({ case: "400 recordings", ...manyRecordings(seed) }));
  for (const [name, made] of CASES) {
    const results: Result[] = [];
    for (let draw = 0; draw < draws; draw++) {
      const drawn = await made(dice(chance(1000 * seed + draw)), 1000 * seed + draw);
      const result = await drawOf(drawn, name !== "hand gauge");
      results.push(result);
      console.log(JSON.stringify({ case: name, draw, ...result }));
    }
    const share = (of: (result: Result) => boolean) => results.filter(of).length / results.length;
    const ms = results.map((result) => result.ms).sort((a, b) => a - b);
    const sums = {
      whole: share((one) => one.whole),
      check: share((one) => one.check),
      checkClaimed: share((one) => one.claimed),
      proved: share((one) => one.proved),
      wrongButProved: share((one) => one.proved && !one.whole),
      medianMs: ms[ms.length >> 1],
      p95Ms: ms[Math.floor(0.95 * ms.length)],
    };
    console.log(JSON.stringify({ case: name, draws, ...sums }));
  }
}

interface Result {
  readonly ms: number;
  readonly whole: boolean;
  readonly check: boolean;
  readonly claimed: boolean;
  readonly proved: boolean;
}

/** Five sensors in a pot whose pressure rises and falls while it warms, and a log of it whose clock is off. */
export async function rampCase(dice: Dice, seed: number, ebN0Db: number, hasCheck = true): Promise<Case> {
  const layout = randomLayout(dice, hasCheck);
  const top = dice.between(300, 360);
  const begin = dice.between(120, 180);
  const turn = dice.between(0.4, 0.7) * SECONDS;
  const cold = dice.between(-12, 18);
  const falling = (at: number) => top - ((top - begin) * 0.7 * (at - turn)) / (SECONDS - turn);
  const bay = openBay(layout, SENSORS, dice, {
    kPaAt: (at) => (at < turn ? begin + ((top - begin) * at) / turn : falling(at)),
    degCAt: (at) => cold + 35 * (1 - Math.exp(-at / 150)),
  });
  const sent: Sent[] = [];
  for (let i = 0; i < 12; i++) {
    for (let sensor = 0; sensor < SENSORS; sensor++) {
      sent.push(send(bay, sensor, ((i + dice.between(0.05, 0.95)) * SECONDS) / 12, dice));
    }
  }
  const bursts = await allCaught(bay, sent, ebN0Db, seed, 1);
  const log = gaugeLog(bay, SECONDS, dice, dice.between(-5, 5));
  const fresh = () => Array.from({ length: 100 }, (_, i) => send(bay, i % SENSORS, (i * SECONDS) / 100, dice));
  return { bay, bursts, log, fresh };
}

/** Time that somebody takes for one wheel: gauge, two presses, on to the next. */
const VISIT_SECONDS = 80;
const VISITS = 3;
const WHEELS = 4;

/** Four wheels of a car, each at three pressures, two telegrams at each, and a hand gauge read to 5 kPa. */
async function handCase(dice: Dice, seed: number): Promise<Case> {
  const layout = randomLayout(dice, true);
  const pressures = Array.from(
    { length: VISITS * WHEELS },
    (_, i) => dice.between(0, 40) + 120 + 90 * Math.floor(i / WHEELS),
  );
  const visitAt = (seconds: number) => Math.min(pressures.length - 1, Math.max(0, Math.floor(seconds / VISIT_SECONDS)));
  const bay = openBay(layout, WHEELS, dice, {
    kPaAt: (at) => pressures[visitAt(at)]!,
    degCAt: (at, sensor) => 18 + sensor / 2 + at / 600,
  });
  const sent: Sent[] = [];
  const log: GaugeReading[] = [];
  for (const visit of pressures.keys()) {
    const begin = visit * VISIT_SECONDS;
    const kPa = 5 * Math.round(pressures[visit]! / 5);
    log.push({ atSeconds: begin + 30 + dice.between(-5, 5), kPa, degC: undefined });
    for (const at of [25, 40]) sent.push(send(bay, visit % WHEELS, begin + at + dice.between(-3, 3), dice));
  }
  const bursts = await allCaught(bay, sent, 20, seed, 3);
  const fresh = () =>
    Array.from({ length: 100 }, (_, i) => {
      const visit = dice.whole(0, pressures.length - 1);
      return send(bay, i % WHEELS, visit * VISIT_SECONDS + 1, dice);
    });
  return { bay, bursts, log, fresh };
}

async function allCaught(
  bay: Bay,
  sent: readonly Sent[],
  ebN0Db: number,
  seed: number,
  copies: number,
): Promise<readonly Caught[]> {
  const bursts: Caught[] = [];
  const listened: Listened[] = [];
  for (const [i, one] of sent.entries()) {
    const heard = await caught(bay, one, { ebN0Db, copies, seed: 100 * seed + i });
    bursts.push(...heard.caught);
    listened.push(...heard.listened);
  }
  return cutAgain(listened, bursts);
}

async function drawOf(
  { bay, bursts, log, fresh }: Case,
  withTemperature: boolean,
): Promise<Result & Readonly<Record<string, unknown>>> {
  const { layout } = bay;
  const began = performance.now();
  const derived = derive(bursts, log);
  const ms = Math.round(performance.now() - began);
  const what = { code: layout.lineCode, keying: layout.modulation, bits: layout.bits, bursts: bursts.length };
  const none = { ms, whole: false, check: false, claimed: false, proved: false, ...what, wanted: summary(layout) };
  if (!derived.group) return { ...none, failed: "no group" };
  const parsed = parseLayout(layoutOf(derived, { id: "derived", title: "Derived", notes: "" }));
  if (!parsed.ok) return { ...none, failed: JSON.stringify(parsed.complaints) };
  const proof = prove(derived, parsed.layout, bursts, log);
  const judged = await judge(bay, parsed.layout, fresh());
  const claimed = parsed.layout.checks.length > 0;
  const check = claimed && judged.verified === 100;
  const whole = check && judged.identity && judged.pressure && (judged.temperature || !withTemperature);
  const proved = proof.doubts.length === 0;
  const more = whole ? {} : { made: summary(parsed.layout), wanted: summary(layout) };
  return { ms, whole, check, claimed, proved, ...what, ...judged, ...more };
}

/** What differs is found by looking at both side by side. */
function summary({ lineCode, bits, fields, checks, whitening, sync, preamble, pulse }: Layout): string {
  const list = fields.map(({ name, at, bits, bitOrder, type, scale, offset = 0, reference }) => {
    const numbers = scale === undefined ? "" : ` *${scale}${offset < 0 ? "" : "+"}${offset}`;
    const marks = `${bitOrder === "lsb-first" ? "L" : ""}${type === "signed" ? "S" : ""}${reference === "absolute" ? "A" : ""}`;
    return `${name}@${at}+${bits}${marks}${numbers}`;
  });
  const words = pulse ? ` ${pulse.zero}/${pulse.one}` : "";
  const white = whitening ? ` white ${JSON.stringify(whitening)}` : "";
  const check = checks.map((one) => JSON.stringify(one)).join(" ");
  return `${lineCode}${words} ${preamble.symbols}x${preamble.repeat} ${sync.symbols} ${bits}: ${list.join(", ")} | ${check}${white}`;
}
