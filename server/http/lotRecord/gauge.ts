import { dayOf } from "../sheet/units.ts";
import type { LotBody } from "../wire/lots.ts";
import { paragraph, type Section } from "./document.ts";
import { ended, plain, withUnit } from "./shown.ts";

/** What the readings were held against, and whether it is good enough for the limit. */
export function gaugeSection({ gauge, gaugeLogs, ratio }: LotBody): Section {
  const { name, stated, errorKpa, coverage, resolutionKpa, calibratedOn, temperatureErrorC } = gauge;
  const steps = gauge.temperatureResolutionC;
  const error =
    errorKpa === null
      ? "its error was not entered"
      : stated === "certificate"
        ? `expanded uncertainty by its certificate ${kpa(errorKpa)} at k = ${plain(coverage)}`
        : `limit of error ${kpa(errorKpa)}, with nothing known between`;
  const sentences = [
    `${name.trim() === "" ? "Its name was not entered" : name.trim()}: ${error}; ${resolutionKpa === null ? "its resolution was not entered" : `shows steps of ${withUnit(plain(resolutionKpa), "kPa")}`}; ${calibratedOn.trim() === "" ? "when it was calibrated was not entered" : `calibrated ${dayOf(calibratedOn.trim()) ?? calibratedOn.trim()}`}.`,
    ...(temperatureErrorC === null
      ? []
      : [
          `Thermometer in the pot: limit of error ±\u00a0${withUnit(plain(temperatureErrorC), "°C")}${steps === null ? "" : `, steps of ${withUnit(plain(steps), "°C")}`}.`,
        ]),
    ...gaugeLogs.map((log) => `Log of the gauge: ${log.name}, ${log.readings} readings.`),
    ratio === null ? "Whether it is good enough for the limit cannot be told from this." : ended(ratio.says),
  ];
  return { heading: "Gauge", across: false, whole: true, blocks: [paragraph(sentences.join(" "))] };
}

function kpa(value: number): string {
  return `±\u00a0${withUnit(plain(value), "kPa")}`;
}
