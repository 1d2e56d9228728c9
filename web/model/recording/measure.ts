import { figure, signed } from "../quantities.ts";
import { decimalsFor } from "./range.ts";

/** What there is between two moments. */
export interface Measure {
  readonly seconds: number;
  readonly hertz: number | undefined;
  /** `undefined` where no symbol rate is known. */
  readonly symbols: number | undefined;
  /** How far it lies from the next whole number of nominal symbols, in percent of that; `undefined` below half a symbol. */
  readonly offNominalPercent: number | undefined;
  readonly wholeSymbols: number | undefined;
  /** Level at the second less that at the first; `undefined` where one is not known. */
  readonly levelDb: number | undefined;
  readonly frequencyHz: number | undefined;
}

/** What is known at one of the two moments. */
export interface Moment {
  readonly atSeconds: number;
  /** Linear, full scale 1. */
  readonly level: number | undefined;
  readonly frequencyHz: number | undefined;
}

/** @param symbolRate Nominal, of the layout where there is one, else as measured of the burst. */
export function measureBetween(a: Moment, b: Moment, symbolRate: number | undefined): Measure {
  const seconds = b.atSeconds - a.atSeconds;
  const symbols = symbolRate === undefined ? undefined : Math.abs(seconds) * symbolRate;
  const whole = symbols === undefined ? undefined : Math.round(symbols);
  return {
    seconds,
    hertz: seconds === 0 ? undefined : 1 / Math.abs(seconds),
    symbols,
    wholeSymbols: whole,
    offNominalPercent: symbols === undefined || !whole ? undefined : 100 * (symbols / whole - 1),
    levelDb: a.level && b.level ? 20 * Math.log10(b.level / a.level) : undefined,
    frequencyHz: a.frequencyHz === undefined || b.frequencyHz === undefined ? undefined : b.frequencyHz - a.frequencyHz,
  };
}

/** One line of the read-out. */
export interface MeasureLine {
  readonly name: string;
  readonly value: string;
}

/** @param ofWhat What the symbol rate is of, such as `pilot-car`. */
export function measureLines(measure: Measure, ofWhat: string | undefined, sampleRateHz: number): MeasureLine[] {
  const { seconds, hertz, symbols, wholeSymbols, offNominalPercent, levelDb, frequencyHz } = measure;
  return [
    { name: "Δt, B less A", value: durationWords(seconds, sampleRateHz) },
    { name: "1/Δt", value: hertz === undefined ? "not told: no time between them" : hertzWords(hertz) },
    {
      name: `Symbols${ofWhat === undefined ? "" : ` of ${ofWhat}`}`,
      value: symbols === undefined ? "not told: no symbol rate is known" : figure(symbols, 3),
    },
    ...(offNominalPercent === undefined
      ? []
      : [
          {
            name: `Longer (+) or shorter (−) than ${wholeSymbols} symbols`,
            value: `${signed(offNominalPercent, 2)}\u202f%`,
          },
        ]),
    { name: "Level, B less A", value: levelDb === undefined ? "not told" : `${signed(levelDb, 1)}\u202fdB` },
    ...(frequencyHz === undefined
      ? []
      : [{ name: "Frequency, B less A", value: `${signed(frequencyHz / 1000, 2)}\u202fkHz` }]),
  ];
}

/** The read-out as text: one line each, name and value with its unit. */
export function measureText(lines: readonly MeasureLine[], fromSeconds: number, toSeconds: number): string {
  const at = (seconds: number) => `${seconds.toFixed(7)}\u202fs`;
  const all = [{ name: "A at", value: at(fromSeconds) }, { name: "B at", value: at(toSeconds) }, ...lines];
  return all.map(({ name, value }) => `${name}: ${value}`).join("\n");
}

/** A time between two moments, to a tenth of a sample. */
export function durationWords(seconds: number, sampleRateHz: number): string {
  const [scale, unit] = Math.abs(seconds) < 1e-3 ? [1e6, "µs"] : Math.abs(seconds) < 1 ? [1e3, "ms"] : [1, "s"];
  return `${figure(seconds * scale, decimalsFor(scale / sampleRateHz / 10))}\u202f${unit}`;
}

function hertzWords(hertz: number): string {
  if (hertz >= 1e6) return `${figure(hertz / 1e6, 4)}\u202fMHz`;
  return hertz >= 1e3 ? `${figure(hertz / 1e3, 3)}\u202fkHz` : `${figure(hertz, 3)}\u202fHz`;
}
