import { type PressureUnit, pressureIn } from "../../../decoders/units.ts";

/**
 * A pressure in two units, first in the one that the placard is written in: with kPa stands psi, with psi kPa, and with
 * bar psi, since kPa would only move the point.
 *
 * @param placardUnit `null`, where nobody said which: kPa first.
 */
export function inTwoUnits(pressureKpa: number, placardUnit: PressureUnit | null): readonly [string, string] {
  const first = placardUnit ?? "kPa";
  return [inUnit(pressureKpa, first), inUnit(pressureKpa, first === "psi" ? "kPa" : "psi")];
}

/** As `inTwoUnits`, in one line. */
export function inOneLine(pressureKpa: number, placardUnit: PressureUnit | null): string {
  const [first, second] = inTwoUnits(pressureKpa, placardUnit);
  return `${first} (${second})`;
}

/** The pressure of the air outside: to a tenth of a kPa, as barometers give it, and in psi. */
export function airInOneLine(pressureKpa: number): string {
  return `${pressureKpa.toFixed(1)}${NARROW}kPa (${inUnit(pressureKpa, "psi")})`;
}

/** Such as `433.92 MHz`. */
export function megahertz(carrierHz: number): string {
  return `${(carrierHz / 1e6).toFixed(2)}${NARROW}MHz`;
}

/** In whole degrees, with a true minus sign and none before zero. */
export function degrees(temperatureC: number): string {
  return `${signed(temperatureC.toFixed(0))}${NARROW}°C`;
}

/** A sensor ID as it is compared with a label: in groups of two. Whatever else somebody typed stays as it is. */
export function inPairs(identity: string): string {
  const id = identity.trim();
  return /^[0-9a-z]+$/i.test(id) ? id.replace(/(..)(?=.)/g, "$1 ") : id;
}

/** Such as `25 Nov 2026`, which no country reads another way; `undefined` unless it is a time. */
export function dayOf(at: string): string | undefined {
  const [year, month, day] = at.slice(0, 10).split("-");
  const name = MONTHS[Number(month) - 1];
  return name === undefined || Number.isNaN(Date.parse(at)) ? undefined : `${Number(day)} ${name} ${year}`;
}

/** Such as `21:20`, in UTC. */
export function minuteOf(at: string): string {
  return at.slice(11, 16);
}

/** `one`, `one and two`, `one, two and three`. */
export function listed(parts: readonly string[]): string {
  if (parts.length < 2) return parts[0] ?? "";
  return `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}`;
}

/** No more digits than a sensor resolves. */
const DECIMALS: Readonly<Record<PressureUnit, number>> = { kPa: 0, psi: 1, bar: 2 };
/** A narrow space that never breaks. */
const NARROW = "\u202f";
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

function inUnit(pressureKpa: number, unit: PressureUnit): string {
  return `${signed(pressureIn(unit, pressureKpa).toFixed(DECIMALS[unit]))}${NARROW}${unit}`;
}

function signed(figure: string): string {
  if (!figure.startsWith("-")) return figure;
  return Number(figure) === 0 ? figure.slice(1) : `−${figure.slice(1)}`;
}
