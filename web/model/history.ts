import { sentence } from "../../decoders/words.ts";
import type { StoredTelegramBody } from "../../server/http/wire.ts";
import { counted } from "./quantities.ts";

export interface PressureReading {
  readonly at: string;
  readonly gaugeKpa: number;
}

/** The gauge pressures that verified telegrams tell themselves, oldest first. */
export function pressureReadings(telegrams: readonly StoredTelegramBody[]): PressureReading[] {
  return telegrams
    .filter(({ telegram }) => telegram.verified)
    .flatMap(({ at, telegram }) => {
      const told = Object.values(telegram.fields).find(({ kPaGauge }) => kPaGauge !== undefined);
      return told?.kPaGauge === undefined ? [] : [{ at, gaugeKpa: told.kPaGauge }];
    })
    .toSorted((a, b) => (a.at < b.at ? -1 : a.at > b.at ? 1 : 0));
}

/** How often a sensor spoke; what is told is how often it said something, not how many copies of it came. */
export function historyWords(telegrams: readonly StoredTelegramBody[]): string {
  const unverified = telegrams.filter(({ telegram }) => !telegram.verified).length;
  const words = `${counted(telegrams.length, "telegram")} of this sensor ${telegrams.length === 1 ? "is" : "are"} kept`;
  return sentence(unverified === 0 ? words : `${words}, ${unverified} of them not verified`);
}
