import type { Interferer } from "../records.ts";
import type { Tuning } from "../signal/captures.ts";
import type { Quiet } from "../signal/ear.ts";
import type { BurstReading } from "./burstReading.ts";
import { round } from "./telegrams.ts";

/** Collects carriers that are there without keying. */
export interface InterfererTally {
  /** An unkeyed burst counts as a pulse of one. */
  hear(reading: BurstReading): void;
  /** So long and without keying: not a burst, only an interferer. */
  swallows(reading: BurstReading): boolean;
  /** What lay under the bursts of a capture. */
  tell(quiet: Quiet, tuning: Tuning): void;
  /** Strongest first. */
  found(): Interferer[];
}

interface Seen {
  carrierHz: number;
  power: number;
  overNoise: number;
  seconds: number;
}

/** Sightings nearer than this are one carrier. */
const SAME_HZ = 12_000;
const LONG_SECONDS = 0.25;
/** Less of the time than this is not worth naming. */
const LEAST_SHARE = 0.002;

export function createInterferers(): InterfererTally {
  const seen: Seen[] = [];
  let totalSeconds = 0;

  function add(sighting: Seen): void {
    const same = seen.find((other) => Math.abs(other.carrierHz - sighting.carrierHz) < SAME_HZ);
    if (!same) {
      seen.push({ ...sighting });
      return;
    }
    const seconds = same.seconds + sighting.seconds;
    const mean = (a: number, b: number) => (a * same.seconds + b * sighting.seconds) / seconds;
    same.carrierHz = mean(same.carrierHz, sighting.carrierHz);
    same.power = mean(same.power, sighting.power);
    same.overNoise = Math.max(same.overNoise, sighting.overNoise);
    same.seconds = seconds;
  }

  return {
    hear({ figures }) {
      if (figures.modulation !== undefined || figures.levelDbfs === undefined) return;
      add({
        carrierHz: figures.carrierHz,
        power: 10 ** (figures.levelDbfs / 10),
        overNoise: 10 ** ((figures.snrDb ?? 0) / 10),
        seconds: figures.durationSeconds,
      });
    },
    swallows({ figures }) {
      return figures.modulation === undefined && figures.durationSeconds > LONG_SECONDS;
    },
    tell(quiet, tuning) {
      totalSeconds += quiet.samples / tuning.sampleRateHz;
      for (const carrier of quiet.steady) {
        add({
          carrierHz: (tuning.centreHz ?? 0) + carrier.offsetHz,
          power: carrier.power,
          overNoise: carrier.overNoise,
          seconds: carrier.samples / tuning.sampleRateHz,
        });
      }
    },
    found() {
      return seen
        .map((one) => ({
          carrierHz: round(one.carrierHz, 0),
          levelDbfs: round(10 * Math.log10(one.power), 1),
          overNoiseDb: round(10 * Math.log10(one.overNoise), 1),
          share: round(Math.min(1, one.seconds / Math.max(totalSeconds, 1e-9)), 3),
        }))
        .filter((one) => one.share >= LEAST_SHARE)
        .sort((a, b) => b.levelDbfs - a.levelDbfs);
    },
  };
}
