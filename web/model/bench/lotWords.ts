import { type PressureUnit, pressureIn } from "../../../decoders/units.ts";
import type { FigureBody, LotBody, LotHeadBody, SpecimenBody } from "../../../server/http/wire/lots.ts";
import { counted, figure, listed, type Shown, signed } from "../quantities.ts";
import type { Settings } from "../settings.ts";
import { type LotChange, type LotEntries, withSpecimen } from "./lotDraft.ts";

type Verdict = SpecimenBody["verdict"];
type Strength = "as expected" | "look here" | "stop";

/** Colour is for exceptions: within has none. */
export const VERDICT_STRENGTH: Readonly<Record<Verdict, Strength>> = {
  within: "as expected",
  outside: "stop",
  "cannot tell": "look here",
};

const ERROR_DECIMALS: Readonly<Record<PressureUnit, number>> = { kPa: 1, psi: 2, bar: 3 };

/** A difference of pressures, with its sign: one more decimal than a pressure, since limits are a few kPa. */
export function pressureErrorShown(kpa: number, unit: PressureUnit): Shown {
  return { figure: signed(pressureIn(unit, kpa), ERROR_DECIMALS[unit]), unit };
}

/** As `pressureErrorShown`, without a sign, for what lies to both sides. */
export function eitherSideShown(kpa: number, unit: PressureUnit): Shown {
  return { figure: figure(pressureIn(unit, kpa), ERROR_DECIMALS[unit]), unit };
}

/** What a gauge shows: one more decimal than a sensor's pressure, since it is the finer of the two. */
export function gaugeShown(kpa: number, unit: PressureUnit): Shown {
  return eitherSideShown(kpa, unit);
}

/** `+3.2 ± 1.4`, without its unit. */
export function cellWords({ errorKpa, expandedKpa }: SpecimenBody["cells"][number], unit: PressureUnit): string {
  if (errorKpa === null) return "–";
  const value = pressureErrorShown(errorKpa, unit).figure;
  return expandedKpa === null ? value : `${value} ± ${eitherSideShown(expandedKpa, unit).figure}`;
}

/** A figure and its limits in the units of the device; empty for what is no number. */
export function figureWords(one: FigureBody, settings: Settings): { readonly value: string; readonly limits: string } {
  const { value, expanded, lower, upper } = one;
  const shown = (number: number, withSign: boolean) => inUnit(number, one.unit, withSign, settings);
  const unit = inUnit(0, one.unit, false, settings).unit;
  const behind = unit === "" ? "" : `\u202f${unit}`;
  const hasSign = lower !== null && upper !== null && lower < 0;
  const figureOf = (number: number) => shown(number, hasSign).figure;
  const limits =
    lower !== null && upper !== null && lower === -upper
      ? `± ${shown(upper, false).figure}${behind}`
      : [
          lower === null ? "" : `at least ${figureOf(lower)}${behind}`,
          upper === null ? "" : `at most ${figureOf(upper)}${behind}`,
        ]
          .filter((words) => words !== "")
          .join(", ");
  const plusMinus = expanded === null ? "" : ` ± ${shown(expanded, false).figure}`;
  return { value: value === null ? "" : `${figureOf(value)}${plusMinus}${behind}`, limits };
}

/** A number of a figure in the unit that the device shows; temperatures of figures are differences. */
function inUnit(
  value: number,
  unit: FigureBody["unit"],
  withSign: boolean,
  { pressure, temperature }: Pick<Settings, "pressure" | "temperature">,
): Shown {
  const write = withSign ? signed : figure;
  switch (unit) {
    case "kPa":
      return { figure: write(pressureIn(pressure, value), ERROR_DECIMALS[pressure]), unit: pressure };
    case "°C":
      return temperature === "degC" ? { figure: write(value, 1), unit } : { figure: write(1.8 * value, 1), unit: "°F" };
    case "Hz":
      return { figure: write(value / 1000, 2), unit: "kHz" };
    case "s":
      return { figure: write(value, 2), unit };
    default:
      return { figure: write(value, 1), unit };
  }
}

/** `200 up`, with the unit where it does not stand beside. */
export function setPointWords({ kpa, way }: LotBody["setPoints"][number], unit: PressureUnit, withUnit = true): string {
  const text = String(Number(pressureIn(unit, kpa).toFixed(unit === "bar" ? 2 : unit === "psi" ? 1 : 0)));
  return `${text}${withUnit ? `\u202f${unit}` : ""} ${way}`;
}

/** What a lot is called in lists and titles. */
export function lotTitle({ title, supplier, part }: Pick<LotHeadBody, "title" | "supplier" | "part">): string {
  if (title !== "") return title;
  const named = [supplier, part].filter((words) => words !== "").join(", ");
  return named === "" ? "Lot without a name yet" : named;
}

/** `17 within, 2 outside, 1 cannot tell`, and how many were left out. */
export function countsWords({ within, outside, cannotTell, leftOut }: LotBody["counts"]): string {
  const words = `${within} within, ${outside} outside, ${cannotTell} cannot tell`;
  return leftOut === 0 ? words : `${words}, ${leftOut} left out`;
}

export function listens({ listening }: Pick<LotBody, "listening">): boolean {
  return listening.some(({ to }) => to === null);
}

/** The specimen that is to be woken next: the first that was neither heard nor woken; `undefined` where all were. */
export function nextNumber({ rows, sample }: Pick<LotBody, "rows" | "sample">): number | undefined {
  const open = rows.find(({ state, wakes }) => state === "not heard yet" && wakes === 0);
  if (open) return open.number;
  const after = Math.max(0, ...rows.map(({ number }) => number)) + 1;
  return sample === null || after <= sample ? after : undefined;
}

/** The specimen whose telegram came last. */
export function justHeard(rows: readonly SpecimenBody[]): SpecimenBody | undefined {
  const heard = rows.filter(({ lastAt }) => lastAt !== null);
  return heard.toSorted((a, b) => ((a.lastAt ?? "") < (b.lastAt ?? "") ? 1 : -1))[0];
}

type Lot = Pick<LotBody, "setPoints" | "workedFills">;

/** Index of the set point that no fill is of yet, in their order; `undefined` where all were filled to. */
export function nextSetPoint({ setPoints, workedFills }: Lot): number | undefined {
  const done = new Set(workedFills.map(({ setPoint }) => setPoint));
  const last = Math.max(-1, ...workedFills.map(({ setPoint }) => setPoint ?? -1));
  // One that was passed over comes again once the others are through: the pot is not filled and let down in between.
  const ahead = setPoints.findIndex((_, i) => i > last && !done.has(i));
  const at = ahead >= 0 ? ahead : setPoints.findIndex((_, i) => !done.has(i));
  return at < 0 ? undefined : at;
}

/** The fill that the pot holds now. */
export function openFill({ workedFills }: Pick<LotBody, "workedFills">): LotBody["workedFills"][number] | undefined {
  const last = workedFills.toSorted((a, b) => (a.at < b.at ? -1 : 1)).at(-1);
  return last?.endedAt === null ? last : undefined;
}

/** Specimens that answer and have not been read often enough at a set point, those left out aside. */
export function missingAt(rows: readonly SpecimenBody[], setPoint: number): readonly SpecimenBody[] {
  return rows.filter(
    ({ missing, leftOut, state }) => leftOut === "" && state === "heard" && missing.includes(setPoint),
  );
}

/** Specimens of which nothing was read at all, those left out aside: no set point waits for them. */
export function silentOf(rows: readonly SpecimenBody[]): readonly SpecimenBody[] {
  return rows.filter(({ leftOut, state }) => leftOut === "" && state !== "heard");
}

/** `7`, `3, 7 and 12`; at most so many, then how many more. */
export function numbersWords(rows: readonly { readonly number: number }[], most = 12): string {
  if (rows.length <= most) return listed(rows.map(({ number }) => String(number)));
  return `${rows
    .slice(0, most)
    .map(({ number }) => number)
    .join(", ")} and ${rows.length - most} more`;
}

/** Whose record a lot is, and of how many: for the list. */
export function lotSubWords({ supplier, part, sample, title }: LotHeadBody): string {
  const named = title === "" ? [] : [supplier, part];
  return [...named, sample === null ? "" : `sample of ${counted(sample, "specimen")}`]
    .filter((words) => words !== "")
    .join(", ");
}

/** Puts a sensor aside: it is on no row then, by hand or otherwise. */
export function asideWith({ aside, specimens }: Pick<LotEntries, "aside" | "specimens">, identity: string): LotChange {
  return {
    aside: [...aside.filter((one) => one !== identity), identity],
    ...(specimens.some((one) => one.identity === identity)
      ? { specimens: specimens.map((one) => (one.identity === identity ? { ...one, identity: null } : one)) }
      : {}),
  };
}

/** Puts a sensor on a specimen by hand, and takes it off any other. */
export function registeredAs(
  { specimens }: Pick<LotEntries, "specimens">,
  number: number,
  identity: string,
): LotChange {
  const others = specimens.map((one) => (one.identity === identity ? { ...one, identity: null } : one));
  return { specimens: withSpecimen(others, number, { identity }) };
}

const UNITS: readonly FigureBody["unit"][] = ["kPa", "°C", "Hz", "symbols/s", "dB", "s", ""];

/** A figure with its unit, both as the server has them, in the units of the device. */
export function besideWords(
  value: number | null,
  unit: string,
  settings: Pick<Settings, "pressure" | "temperature">,
): string {
  if (value === null) return "–";
  const known = UNITS.find((one) => one === unit);
  if (known === undefined) return `${figure(value, 2)}\u202f${unit}`;
  const shown = inUnit(value, known, false, settings);
  return shown.unit === "" ? shown.figure : `${shown.figure}\u202f${shown.unit}`;
}
