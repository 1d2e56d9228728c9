import type { AmbientAir } from "../../jobs/pressure/ambientAir.ts";
import { listed } from "../sheet/units.ts";
import type { LotBody } from "../wire/lots.ts";
import { spanInWords } from "./about.ts";
import { paragraph, type Section } from "./document.ts";
import { counted, ended, plain, shown, withUnit } from "./shown.ts";

/**
 * How and where it was measured.
 *
 * @param heardBy Receivers and recordings, by name.
 * @param airTakenOff Of absolute readings; `undefined`: there were none.
 */
export function conditionsSection(
  lot: LotBody,
  heardBy: readonly string[],
  airTakenOff: AmbientAir | undefined,
): Section {
  const sentences = [
    potOf(lot),
    airOf(lot),
    takenOff(airTakenOff),
    temperatures(lot),
    heard(lot, heardBy),
    radioOf(lot),
    leftOver(lot),
  ];
  return {
    heading: "Conditions",
    across: false,
    whole: true,
    blocks: [paragraph(sentences.filter(Boolean).join(" "))],
  };
}

function potOf({ fixture, setPoints }: LotBody): string {
  const { kind, ratedKpa, wokenOneByOne, notes } = fixture;
  const rated = ratedKpa === null ? "its rating was not entered" : `rated to ${withUnit(plain(ratedKpa), "kPa")}`;
  const above = ratedKpa === null ? [] : setPoints.filter(({ kpa }) => kpa > ratedKpa);
  const sentences = [
    `Fixture: ${kind}, ${rated}; ${wokenOneByOne ? "specimens woken one by one" : "specimens woken together"}.`,
    ...(above.length === 0
      ? []
      : [`■ Above that rating: ${listed([...new Set(above.map(({ kpa }) => withUnit(plain(kpa), "kPa")))])}.`]),
    ended(notes),
  ];
  return sentences.filter(Boolean).join(" ");
}

function airOf({ ambientKpa, altitudeM }: LotBody): string {
  const air = ambientKpa === null ? "not entered" : withUnit(plain(ambientKpa), "kPa");
  return `Air outside: ${air}${altitudeM === null ? "" : `, ${withUnit(plain(altitudeM), "m")} above the sea`}.`;
}

function takenOff(air: AmbientAir | undefined): string {
  if (!air) return "";
  const kpa = withUnit(shown(air.kpa, 1), "kPa");
  switch (air.from) {
    case "barometer":
      return `${kpa} of it were taken off what sensors told as absolute pressure.`;
    case "altitude":
      return `By that altitude ${kpa} were taken off what sensors told as absolute pressure.`;
    case "sea level":
      return `▲ The standard atmosphere at sea level, ${kpa}, was assumed and taken off what sensors told as absolute pressure.`;
    default:
      throw new RangeError(`air from ${air.from satisfies never}`);
  }
}

function temperatures({ workedFills }: LotBody): string {
  const found = workedFills.flatMap(({ temperatureC }) => (temperatureC === null ? [] : [temperatureC]));
  const fills = counted(workedFills.length, "fill");
  if (found.length === 0) return `${fills} of the pot, without a temperature.`;
  const [least, most] = [Math.min(...found), Math.max(...found)].map((one) => withUnit(plain(one), "°C"));
  return `${fills} of the pot at ${least === most ? least : `${least} to ${most}`}.`;
}

function heard({ listening }: LotBody, heardBy: readonly string[]): string {
  const names = heardBy.length === 0 ? "No receiver or recording was used." : `Heard by ${listed(heardBy)}.`;
  if (listening.length === 0) return names;
  const times = listening.flatMap(({ from, to }) => [from, ...(to === null ? [] : [to])]);
  const open = listening.some(({ to }) => to === null) ? ", and still on" : "";
  return `${names} Receivers on ${spanInWords(times)}${open}${listening.length > 1 ? `, ${listening.length} times` : ""}.`;
}

function radioOf({ fixture }: LotBody): string {
  if (fixture.carrierErrorPpm === null) return "How good the receiver's reference is was not entered.";
  const ppm = withUnit(plain(fixture.carrierErrorPpm), "ppm");
  return `Carriers are good to ±\u00a0${ppm} of the receiver's own reference.`;
}

function leftOver({ others, unreadableBursts }: LotBody): string {
  return [
    ...(others.length > 0 ? [`Also heard, on no row: ${counted(others.length, "sensor")}.`] : []),
    ...(unreadableBursts > 0 ? [`Read by no layout: ${counted(unreadableBursts, "burst")}.`] : []),
  ].join(" ");
}
