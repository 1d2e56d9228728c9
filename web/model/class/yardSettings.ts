import {
  allHit,
  anyTwoMeet,
  hitChance,
  hitChancePoisson,
  loadOf,
  type Senders,
  stuckPeriods,
} from "../../../decoders/radio/aloha.ts";
import type { YardPlayNewBody } from "../../../server/http/wire/yard.ts";
import { figure } from "../quantities.ts";

/** What the sliders of the page of collisions stand at. */
export interface YardSettings {
  readonly sensors: number;
  /** Index into `PERIODS`. */
  readonly period: number;
  readonly telegramMs: number;
  readonly copies: number;
  readonly levelSpreadDb: number;
  readonly timing: "varied" | "strict";
}

/** From a loaded channel to what sensors really do. */
export const PERIODS = [0.1, 0.2, 0.3, 0.5, 1, 2, 5, 10, 20, 30, 60] as const;

export const FIRST_SETTINGS: YardSettings = {
  sensors: 20,
  period: PERIODS.indexOf(0.5),
  telegramMs: 10,
  copies: 1,
  levelSpreadDb: 12,
  timing: "varied",
};

/** A play of so many telegrams takes some seconds of work. */
const TELEGRAMS_OF_PLAY = 200;
const MOST_TELEGRAMS = 300;
const MOST_SECONDS = 20;
/** Pauses differ by up to half, and none may be shorter than a telegram. */
const LEAST_PERIOD_TELEGRAMS = 2.5;

export function periodOf({ period }: YardSettings): number {
  return PERIODS[period] ?? PERIODS[0];
}

/** As the formulas take them: every copy is a telegram of its own. */
export function sendersOf(settings: YardSettings): Senders {
  const { sensors, telegramMs, copies } = settings;
  return { count: sensors, burstSeconds: telegramMs / 1000, periodSeconds: periodOf(settings) / copies };
}

/** The play that fits the settings, or why there can be none, with the way out. */
export function playOf(
  settings: YardSettings,
):
  | { readonly ok: true; readonly play: YardPlayNewBody; readonly telegrams: number }
  | { readonly ok: false; readonly says: string } {
  const { sensors, telegramMs, copies, levelSpreadDb, timing } = settings;
  const periodSeconds = periodOf(settings);
  if (periodSeconds < (LEAST_PERIOD_TELEGRAMS * copies * telegramMs) / 1000) {
    return {
      ok: false,
      says: "A sensor's own telegrams have no room in so short a period. Take a longer period, shorter telegrams or fewer copies.",
    };
  }
  const perSecond = (sensors * copies) / periodSeconds;
  const seconds = Math.min(MOST_SECONDS, Math.max(1, Math.floor((10 * TELEGRAMS_OF_PLAY) / perSecond) / 10));
  if (perSecond * seconds > MOST_TELEGRAMS) {
    return {
      ok: false,
      says: `One second of this yard has about ${Math.round(perSecond)} telegrams; ${MOST_TELEGRAMS} are the most that a play decodes. Take fewer sensors or a longer period.`,
    };
  }
  const play = { sensors, periodSeconds, telegramMs, seconds, copies, levelSpreadDb, timing };
  return { ok: true, play, telegrams: Math.round(perSecond * seconds) };
}

export interface FormulaRow {
  readonly name: string;
  readonly formula: string;
  readonly value: string;
}

/** What the formulas say of these settings; empty where they cannot say anything. */
export function formulaRows(settings: YardSettings): FormulaRow[] {
  if (!playIsSound(settings)) return [];
  const senders = sendersOf(settings);
  const load = loadOf(senders);
  const hit = hitChance(senders);
  const rows: FormulaRow[] = [
    { name: "Load of the channel, G", formula: "n d / T", value: String(Number(load.toPrecision(3))) },
    {
      name: "One telegram is hit",
      formula: "1 − (1 − 2d / T)^(n − 1)",
      value: chanceWords(hit),
    },
    {
      name: "Likewise, if there were endlessly many with this load",
      formula: "1 − e^(−2 (n − 1) d / T)",
      value: chanceWords(hitChancePoisson(senders)),
    },
    {
      name: "Time filled with telegrams that nothing hit",
      formula: "G (1 − 2d / T)^(n − 1)",
      value: chanceWords(load * (1 - hit)),
    },
    {
      name: "Any two of all meet within a period",
      formula: "about 1 − e^(−n (n − 1) d / T)",
      value: chanceWords(anyTwoMeet({ ...senders, periodSeconds: periodOf(settings) })),
    },
  ];
  if (settings.copies > 1) {
    rows.push({
      name: `All ${settings.copies} copies of a telegram are hit`,
      formula: "the chance of one, to the power of the copies",
      value: chanceWords(allHit(hit, settings.copies)),
    });
  }
  return rows;
}

/** How long two sensors with one strict period go on hitting each other, by how far apart their clocks are. */
export function stuckRows(
  settings: YardSettings,
): { readonly clocks: string; readonly periods: string; readonly time: string }[] {
  const senders = { ...sendersOf(settings), periodSeconds: periodOf(settings) };
  return [20, 100, 1000, 10_000].map((ppm) => {
    const periods = stuckPeriods(senders, ppm);
    return {
      clocks: ppm < 10_000 ? `${ppm}\u202fppm` : "1\u202f%",
      periods: figure(periods, periods < 1 ? 2 : periods < 100 ? 1 : 0),
      time: secondsWords(periods * senders.periodSeconds),
    };
  });
}

/** A chance with as many figures as tell something. */
export function chanceWords(chance: number): string {
  if (chance === 0) return "0";
  const percent = 100 * chance;
  if (chance < 1 && percent > 99) return "over 99\u202f%";
  if (percent >= 10) return `${figure(percent, 0)}\u202f%`;
  if (percent >= 0.01) return `${figure(percent, percent >= 1 ? 1 : 2)}\u202f%`;
  return `1 in ${Math.round(1 / chance).toLocaleString("en-GB")}`;
}

export function secondsWords(seconds: number): string {
  if (seconds >= 120) return `${figure(seconds / 60, 0)}\u202fmin`;
  return `${figure(seconds, seconds < 10 ? 1 : 0)}\u202fs`;
}

function playIsSound(settings: YardSettings): boolean {
  const { burstSeconds, periodSeconds } = sendersOf(settings);
  return 2 * burstSeconds < periodSeconds;
}
