import type { Layout } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import type { Caught } from "../../decoders/workshop/caught.ts";
import { derive } from "../../decoders/workshop/derive.ts";
import { layoutOf } from "../../decoders/workshop/layoutOf.ts";
import { chance } from "../../seeds/noise.ts";
import { caught, gaugeLog, judge, openBay, type Sent, send } from "./gaugeBay.ts";
import { type Dice, dice, randomLayout } from "./randomLayout.ts";

const SECONDS = 360;

/** Layouts drawn by chance, worked out again from what their sensors sent: one JSON line a draw, then shares and times. */
export default async function bench({ seed, draws = 20 }: { seed: number; draws: number | undefined }): Promise<void> {
  const results: Awaited<ReturnType<typeof rampDraw>>[] = [];
  for (let draw = 0; draw < draws; draw++) {
    const result = await rampDraw(dice(chance(1000 * seed + draw)), 1000 * seed + draw, 20);
    results.push(result);
    console.log(JSON.stringify({ draw, ...result }));
  }
  const share = (of: (result: (typeof results)[number]) => boolean) => results.filter(of).length / results.length;
  const ms = results.map((result) => result.ms).sort((a, b) => a - b);
  console.log(
    JSON.stringify({
      whole: share((one) => one.whole),
      check: share((one) => one.check),
      medianMs: ms[ms.length >> 1],
      p95Ms: ms[Math.floor(0.95 * ms.length)],
    }),
  );
}

/** Five sensors in a pot whose pressure rises and falls while it warms, and a log of it whose clock is off. */
export async function rampCase(dice: Dice, seed: number, ebN0Db: number, hasCheck = true) {
  const layout = randomLayout(dice, hasCheck);
  const top = dice.between(300, 360);
  const begin = dice.between(120, 180);
  const turn = dice.between(0.4, 0.7) * SECONDS;
  const cold = dice.between(-12, 18);
  const falling = (at: number) => top - ((top - begin) * 0.7 * (at - turn)) / (SECONDS - turn);
  const bay = openBay(layout, 5, dice, {
    kPaAt: (at) => (at < turn ? begin + ((top - begin) * at) / turn : falling(at)),
    degCAt: (at) => cold + 35 * (1 - Math.exp(-at / 150)),
  });
  const sent: Sent[] = [];
  for (let i = 0; i < 12; i++) {
    for (let sensor = 0; sensor < 5; sensor++) {
      sent.push(send(bay, sensor, ((i + dice.between(0.05, 0.95)) * SECONDS) / 12, dice));
    }
  }
  const bursts: Caught[] = [];
  for (const [i, one] of sent.entries())
    bursts.push(...(await caught(bay, one, { ebN0Db, copies: 1, seed: seed * 100 + i })));
  return { bay, sent, bursts, log: gaugeLog(bay, SECONDS, dice, dice.between(-5, 5)) };
}

async function rampDraw(dice: Dice, seed: number, ebN0Db: number) {
  const { bay, bursts, log } = await rampCase(dice, seed, ebN0Db);
  const { layout } = bay;
  const began = performance.now();
  const derived = derive(bursts, log);
  const ms = Math.round(performance.now() - began);
  const what = { code: layout.lineCode, keying: layout.modulation, bits: layout.bits, bursts: bursts.length };
  const none = { ms, whole: false, check: false, ...what };
  if (!derived.group) return { ...none, failed: "no group", wanted: summary(layout) };
  const made = layoutOf(derived, { id: "derived", title: "Derived", notes: "" });
  const parsed = parseLayout(made);
  if (!parsed.ok) return { ...none, failed: JSON.stringify(parsed.complaints), wanted: summary(layout) };
  const fresh = Array.from({ length: 100 }, (_, i) => send(bay, i % 5, (i * SECONDS) / 100, dice));
  const judged = await judge(bay, parsed.layout, fresh);
  const check = judged.verified === 100;
  const whole = check && judged.identity && judged.pressure && judged.temperature;
  const more = whole ? {} : { made: summary(parsed.layout), wanted: summary(layout) };
  return { ms, whole, check, ...what, ...judged, ...more };
}

/** What differs is found by looking at both side by side. */
function summary({ lineCode, bits, fields, checks, whitening, sync, preamble, pulse }: Layout): string {
  const list = fields.map(
    (field) =>
      `${field.name}@${field.at}+${field.bits}${field.bitOrder === "lsb-first" ? "L" : ""}${field.type === "signed" ? "S" : ""}${field.scale === undefined ? "" : `*${field.scale}${(field.offset ?? 0) < 0 ? "" : "+"}${field.offset ?? 0}${field.reference === "absolute" ? "abs" : ""}`}`,
  );
  return `${lineCode}${pulse ? JSON.stringify(pulse) : ""} ${preamble.symbols}x${preamble.repeat} ${sync.symbols} ${bits}: ${list.join(" ")} | ${checks.map((check) => JSON.stringify(check)).join(" ")} ${whitening ? JSON.stringify(whitening) : ""}`;
}
