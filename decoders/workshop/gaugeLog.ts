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

/**
 * Readings of a table in text: a line each of time, kPa and °C, parted by commas or semicolons, with or without a line of
 * names above them. A field may be empty. Never throws.
 *
 * @param zeroSeconds What a time in seconds counts from. A time of day is RFC 3339.
 */
export function parseGaugeLog(text: string, zeroSeconds = 0): ParsedLog {
  const readings: GaugeReading[] = [];
  const lines = text.replace(/^\uFEFF/, "").split(/\r?\n/);
  if (lines.length > MOST_LINES) return refused(MOST_LINES + 1, `${lines.length} lines`, `at most ${MOST_LINES}`);
  for (const [i, line] of lines.entries()) {
    if (line.trim() === "" || line.startsWith("#")) continue;
    const [time = "", kPa = "", degC = "", ...more] = line.split(line.includes(";") ? ";" : ",").map(unquoted);
    if (readings.length === 0 && /^[a-z]/i.test(time) && !/\d/.test(kPa)) continue; // the names
    if (more.length > 0) return refused(i + 1, `${3 + more.length} fields`, "time, kPa and °C");
    const atSeconds = secondsOf(time, zeroSeconds);
    if (atSeconds === undefined) {
      return refused(i + 1, shownText(time), "a time in seconds or a time of day such as 2026-11-25T09:00:00Z");
    }
    const pressure = numberOf(kPa);
    const temperature = numberOf(degC);
    if (pressure === null) return refused(i + 1, shownText(kPa), "a pressure in kPa");
    if (temperature === null) return refused(i + 1, shownText(degC), "a temperature in °C");
    if (pressure !== undefined || temperature !== undefined) {
      readings.push({ atSeconds, kPa: pressure, degC: temperature });
    }
  }
  if (readings.length === 0) return refused(1, "no reading", "lines of time, kPa and °C");
  return { ok: true, readings: readings.sort((a, b) => a.atSeconds - b.atSeconds) };
}

function unquoted(text: string): string {
  return text.trim().replace(/^"(.*)"$/, "$1");
}

function secondsOf(text: string, zeroSeconds: number): number | undefined {
  if (/^-?\d+(\.\d+)?$/.test(text)) return zeroSeconds + Number(text);
  if (!/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/i.test(text)) return undefined;
  const ms = Date.parse(text);
  return Number.isNaN(ms) ? undefined : ms / 1000;
}

/** `undefined` where there is none, `null` where it is no number. */
function numberOf(text: string): number | undefined | null {
  if (text === "") return undefined;
  return /^[-−]?\d+(\.\d+)?$/.test(text) ? Number(text.replace("−", "-")) : null;
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
