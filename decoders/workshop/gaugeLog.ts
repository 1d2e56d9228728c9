import { celsiusFrom, kpaFrom, type PressureUnit, type TemperatureUnit } from "../units.ts";

/** What somebody read off a gauge or a thermometer at a moment. */
export interface GaugeReading {
  /** On the clock of the bursts, as far as whoever wrote it down knew it. */
  readonly atSeconds: number;
  /** Gauge pressure. */
  readonly kPa: number | undefined;
  readonly degC: number | undefined;
  /** Bursts that alone it belongs to, as where somebody held a gauge to the wheel that sent them; else all near it in time. */
  readonly of?: readonly string[] | undefined;
}

export type ParsedLog =
  | { readonly ok: true; readonly readings: readonly GaugeReading[] }
  | { readonly ok: false; readonly line: number; readonly found: string; readonly allowed: string };

const MOST_LINES = 100_000;
/** What a gauge and a thermometer on a wheel may say; beyond it the columns are others than they are taken for. */
const KPA = [0, 2000] as const;
const DEG_C = [-60, 200] as const;

interface Columns {
  readonly time: number;
  readonly pressure: { readonly at: number; readonly unit: PressureUnit } | undefined;
  readonly temperature: { readonly at: number; readonly unit: TemperatureUnit } | undefined;
}

/** Without names above them. */
const PLAIN: Columns = { time: 0, pressure: { at: 1, unit: "kPa" }, temperature: { at: 2, unit: "degC" } };
const NAMES = "columns named time, a pressure in kPa, bar or psi, and a temperature in °C or °F";

/**
 * Readings of a table in text: a line each of time, pressure and temperature, parted by commas, or by semicolons with
 * a point or a comma before decimals. A line of names above them says their order and units; without it they are time,
 * kPa and °C. A field may be empty. Never throws.
 *
 * @param zeroSeconds What a time in seconds counts from; `undefined`: there is nothing yet. A time of day is RFC 3339.
 */
export function parseGaugeLog(text: string, zeroSeconds: number | undefined): ParsedLog {
  const readings: GaugeReading[] = [];
  const lines = text.replace(/^\uFEFF/, "").split(/\r?\n/);
  if (lines.length > MOST_LINES) return refused(MOST_LINES + 1, `${lines.length} lines`, `at most ${MOST_LINES}`);
  let columns: Columns | undefined;
  for (const [i, line] of lines.entries()) {
    if (line.trim() === "" || line.startsWith("#")) continue;
    const isParted = line.includes(";");
    const fields = line.split(isParted ? ";" : ",").map(unquoted);
    if (columns === undefined) {
      const isNames = fields.every((field) => !/^[-−]?\d/.test(field));
      const named = isNames ? columnsOf(fields) : PLAIN;
      if (!named) return refused(i + 1, shownText(line), NAMES);
      columns = named;
      if (isNames) continue;
    }
    if (columns === PLAIN && fields.length > 3) return refused(i + 1, `${fields.length} fields`, "time, kPa and °C");
    const time = fields[columns.time] ?? "";
    const atSeconds = secondsOf(isParted ? time.replace(",", ".") : time, zeroSeconds);
    if (atSeconds === undefined) {
      const day = "a time of day such as 2026-11-25T09:00:00Z";
      const first = `${day}; seconds count from the first recording, which has to be there first`;
      return refused(i + 1, shownText(time), zeroSeconds === undefined ? first : `a time in seconds or ${day}`);
    }
    const pressure = columns.pressure && numberOf(fields[columns.pressure.at] ?? "", isParted);
    const temperature = columns.temperature && numberOf(fields[columns.temperature.at] ?? "", isParted);
    const kPa = typeof pressure === "number" ? kpaFrom(pressure, columns.pressure!.unit) : pressure;
    const degC = typeof temperature === "number" ? celsiusFrom(temperature, columns.temperature!.unit) : temperature;
    if (!isWithin(kPa, KPA)) {
      const { at, unit } = columns.pressure!;
      return refused(i + 1, shownText(fields[at] ?? ""), `a pressure in ${unit}, from 0 to ${KPA[1]} kPa`);
    }
    if (!isWithin(degC, DEG_C)) {
      const { at, unit } = columns.temperature!;
      const name = unit === "degC" ? "°C" : "°F";
      return refused(
        i + 1,
        shownText(fields[at] ?? ""),
        `a temperature in ${name}, from ${DEG_C[0]} to ${DEG_C[1]} °C`,
      );
    }
    if (kPa !== undefined || degC !== undefined) {
      readings.push({ atSeconds, kPa: kPa ?? undefined, degC: degC ?? undefined });
    }
  }
  if (readings.length === 0) return refused(1, "no reading", "lines of time, kPa and °C");
  return { ok: true, readings: readings.sort((a, b) => a.atSeconds - b.atSeconds) };
}

/** By their names; `undefined` where there is no time, or neither of the others. */
function columnsOf(names: readonly string[]): Columns | undefined {
  const plain = names.map((name) => name.toLowerCase().replaceAll(/[^a-z]/g, " "));
  const find = (pattern: RegExp) => plain.findIndex((name) => pattern.test(name));
  const time = find(/\b(time|at|seconds?|utc|date ?time)\b/);
  const units = ["kPa", "bar", "psi"] as const;
  const pressures = units.map((unit) => ({ unit, at: find(new RegExp(`\\b${unit}\\b`, "i")) }));
  const temperatures = [
    { unit: "degC", at: find(/\b(degc|deg c|c|celsius)\b/) },
    { unit: "degF", at: find(/\b(degf|deg f|f|fahrenheit)\b/) },
  ] as const;
  const pressure = pressures.find(({ at }) => at >= 0);
  const temperature = temperatures.find(({ at }) => at >= 0);
  return time < 0 || (!pressure && !temperature) ? undefined : { time, pressure, temperature };
}

function isWithin(value: number | null | undefined, [least, most]: readonly [number, number]): boolean {
  return value === undefined || (value !== null && value >= least && value <= most);
}

function unquoted(text: string): string {
  return text.trim().replace(/^"(.*)"$/, "$1");
}

function secondsOf(text: string, zeroSeconds: number | undefined): number | undefined {
  if (/^-?\d+(\.\d+)?$/.test(text)) return zeroSeconds === undefined ? undefined : zeroSeconds + Number(text);
  if (!/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/i.test(text)) return undefined;
  const ms = Date.parse(text);
  return Number.isNaN(ms) ? undefined : ms / 1000;
}

/** `undefined` where there is none, `null` where it is no number. */
function numberOf(text: string, hasComma: boolean): number | undefined | null {
  if (text === "") return undefined;
  const plain = (hasComma ? text.replace(",", ".") : text).replace("−", "-");
  return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : null;
}

function shownText(text: string): string {
  return text === "" ? "nothing" : text.slice(0, 40);
}

function refused(line: number, found: string, allowed: string): ParsedLog {
  return { ok: false, line, found, allowed };
}

/** Beyond this from the nearest reading nothing is known. */
const MOST_APART_SECONDS = 90;

export type Quantity = "pressure" | "temperature";

/**
 * The figure of one quantity that belongs to a telegram: its own, else what the log says of its moment.
 *
 * @param clockSeconds How far the log's clock is ahead of the bursts'.
 */
export function figuresBy(
  log: readonly GaugeReading[],
  quantity: Quantity,
  clockSeconds: number,
  carrying: Carrying,
): (telegram: { readonly ids: readonly string[]; readonly atSeconds: number }) => number | undefined {
  const own = new Map<string, number>();
  for (const { of = [], kPa, degC } of log) {
    const figure = quantity === "pressure" ? kPa : degC;
    if (figure !== undefined) for (const id of of) own.set(id, figure);
  }
  const readings = readingsOf(log, quantity, clockSeconds);
  return ({ ids, atSeconds }) => {
    const id = own.size > 0 ? ids.find((one) => own.has(one)) : undefined;
    return id === undefined ? figureAt(readings, atSeconds, carrying) : own.get(id);
  };
}

/** The figures of one quantity that hold by time, in its order. */
function readingsOf(
  log: readonly GaugeReading[],
  quantity: Quantity,
  clockSeconds: number,
): readonly { readonly atSeconds: number; readonly figure: number }[] {
  return log.flatMap(({ atSeconds, kPa, degC, of }) => {
    if (of) return [];
    const figure = quantity === "pressure" ? kPa : degC;
    return figure === undefined ? [] : [{ atSeconds: atSeconds - clockSeconds, figure }];
  });
}

/** How readings are carried to the moment of a telegram. */
export type Carrying = "between" | "nearest";

/** The figure at a moment; `undefined` where no reading is near enough. @param readings In order of time, each with it. */
function figureAt(
  readings: readonly { readonly atSeconds: number; readonly figure: number }[],
  atSeconds: number,
  carrying: Carrying,
): number | undefined {
  let low = 0;
  let high = readings.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (readings[middle]!.atSeconds <= atSeconds) low = middle + 1;
    else high = middle;
  }
  const before = readings[low - 1];
  const after = readings[low];
  const since = before ? atSeconds - before.atSeconds : Number.POSITIVE_INFINITY;
  const until = after ? after.atSeconds - atSeconds : Number.POSITIVE_INFINITY;
  if (Math.min(since, until) > MOST_APART_SECONDS) return undefined;
  if (carrying === "between" && before && after && since + until <= 2 * MOST_APART_SECONDS && since + until > 0) {
    return before.figure + ((after.figure - before.figure) * since) / (since + until);
  }
  return (since <= until ? before : after)?.figure;
}
