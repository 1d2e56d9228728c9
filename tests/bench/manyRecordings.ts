import type { Caught } from "../../decoders/workshop/caught.ts";
import { derive } from "../../decoders/workshop/derive.ts";
import { gather } from "../../decoders/workshop/gather.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { chance } from "../../seeds/noise.ts";
import { openBay, send } from "./gaugeBay.ts";
import { dice, randomLayout } from "./randomLayout.ts";

const RECORDINGS = 400;
const SENSORS = 8;
/** Telegrams in ten seconds, and copies of each. */
const TELEGRAMS = 4;
const COPIES = 3;
const EVERY_SECONDS = 20;

/** What 400 recordings of ten seconds hold, as their analyses tell it: seconds until it is gathered, and worked out. */
export function manyRecordings(seed: number): Readonly<Record<string, unknown>> {
  const drawn = dice(chance(seed));
  const layout = randomLayout(drawn, true);
  const kPaAt = (at: number) => 200 + 50 * Math.sin(at / 300);
  const degCAt = (at: number) => 20 + 5 * Math.sin(at / 1000);
  const bay = openBay(layout, SENSORS, drawn, { kPaAt, degCAt });
  const caught: Caught[] = [];
  for (let recording = 0; recording < RECORDINGS; recording++) {
    for (let i = 0; i < TELEGRAMS; i++) {
      const at = recording * EVERY_SECONDS + (10 * i) / TELEGRAMS;
      const sent = send(bay, (recording + i) % SENSORS, at, drawn);
      const symbols = frameSymbols(layout, sent.bits);
      for (let copy = 0; copy < COPIES; copy++) {
        caught.push({
          id: `${recording}#${i}.${copy}`,
          atSeconds: at + copy * 0.1,
          durationSeconds: symbols.length / layout.symbolRate,
          carrierHz: layout.carrierHz[0]! + drawn.between(-8e3, 8e3),
          modulation: layout.modulation,
          deviationHz: layout.deviationHz ?? null,
          symbolRate: layout.symbolRate * (1 + drawn.between(-2e-4, 2e-4)),
          // A receiver misses the beginning by as much as it pleases.
          symbols: Uint8Array.from(symbols.subarray(drawn.whole(0, 6))),
        });
      }
    }
  }
  const log = Array.from({ length: (RECORDINGS * EVERY_SECONDS) / 8 }, (_, i) => ({
    atSeconds: 8 * i,
    kPa: Math.round(kPaAt(8 * i)),
    degC: Math.round(degCAt(8 * i)),
  }));
  const began = performance.now();
  const { groups } = gather(caught);
  const gatheredMs = performance.now() - began;
  const derived = derive(caught, log);
  const ms = performance.now() - began - gatheredMs;
  return {
    recordings: RECORDINGS,
    bursts: caught.length,
    inOneGroup: groups[0]?.aligned.members.length ?? 0,
    gatheredMs: Math.round(gatheredMs),
    workedOutMs: Math.round(ms),
    checks: derived.group ? derived.derivation.checks.length : 0,
    fields: derived.group ? derived.derivation.fields.fields.length : 0,
  };
}
