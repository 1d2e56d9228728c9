import { scaleLinear } from "d3";
import { CARRIER_REACH_HZ } from "../../../decoders/layouts/carrierReach.ts";
import type { SpectrumBody } from "../../../server/http/wire.ts";
import { figure, frequencyShown, inLine } from "../quantities.ts";

/** The band that a burst takes up, in Hz at RF. */
export interface Taken {
  readonly lowHz: number;
  readonly highHz: number;
}

/** Was it in the band? With the figures, in a sentence. */
export function bandAnswer(spectrum: SpectrumBody, taken: Taken | undefined): string {
  const [low, high] = [spectrum.lowHz, spectrum.highHz];
  const listened = `the receiver heard ${mhz(low)} to ${inLine(frequencyShown(high, 3))}`;
  if (taken === undefined) return `Its band could not be measured; ${listened}.`;
  if (spectrum.centreHz === null) {
    const width = `${figure((taken.highHz - taken.lowHz) / 1000, 1)}\u202fkHz`;
    return `It took up ${width}, but the recording does not say where the receiver was tuned: nobody can tell the band.`;
  }
  const middle = (taken.lowHz + taken.highHz) / 2;
  const span = `${mhz(taken.lowHz)} to ${inLine(frequencyShown(taken.highHz, 3))}`;
  const nearest = spectrum.nominal.toSorted(
    (a, b) => Math.abs(a.carrierHz - middle) - Math.abs(b.carrierHz - middle),
  )[0];
  if (taken.lowHz <= low || taken.highHz >= high) {
    return `Only in part: it reaches the edge of the band; ${listened}. Tune the receiver nearer to it.`;
  }
  if (nearest === undefined) return `It took up ${span}; no layout on the shelf has a carrier there.`;
  const off = Math.abs(middle - nearest.carrierHz);
  const carrier = inLine(frequencyShown(nearest.carrierHz));
  return off <= CARRIER_REACH_HZ
    ? `Yes: 99\u202f% of its power lies from ${span}, ${figure(off / 1000, 1)}\u202fkHz from ${carrier}.`
    : `No: 99\u202f% of its power lies from ${span}, ${figure(off / 1000, 0)}\u202fkHz from ${carrier}; 100\u202fkHz is the most.`;
}

export interface SpectrumDrawing {
  readonly line: string;
  readonly xTicks: readonly { readonly x: number; readonly label: string }[];
  readonly yTicks: readonly { readonly y: number; readonly label: string }[];
  readonly noiseY: number;
  readonly taken: { readonly x: number; readonly width: number } | undefined;
  readonly nominal: readonly { readonly x: number; readonly label: string }[];
}

/** Power over frequency, as a step for each line. */
export function drawnSpectrum(
  spectrum: SpectrumBody,
  taken: Taken | undefined,
  widthPx: number,
  heightPx: number,
): SpectrumDrawing {
  const { lowHz, highHz, lineHz, dbfs, noiseDbfs } = spectrum;
  const most = dbfs.reduce((a, b) => Math.max(a, b), noiseDbfs);
  const x = scaleLinear([lowHz / 1e6, highHz / 1e6], [0, widthPx]);
  const y = scaleLinear([Math.min(noiseDbfs - 8, most - 20), most + 4], [heightPx, 0]).clamp(true);
  const path: string[] = [];
  dbfs.forEach((level, i) => {
    const at = y(level).toFixed(1);
    const from = x((lowHz + i * lineHz) / 1e6).toFixed(1);
    path.push(i === 0 ? `M${from} ${at}` : `V${at}`, `H${x((lowHz + (i + 1) * lineHz) / 1e6).toFixed(1)}`);
  });
  const decimals = highHz - lowHz < 0.2e6 ? 3 : 2;
  return {
    line: path.join(""),
    xTicks: x
      .ticks(Math.max(2, Math.round(widthPx / 140)))
      .map((value) => ({ x: x(value), label: figure(value, decimals) })),
    yTicks: y.ticks(3).map((value) => ({ y: y(value), label: figure(value, 0) })),
    noiseY: y(noiseDbfs),
    taken: taken && { x: x(taken.lowHz / 1e6), width: Math.max(1, x(taken.highHz / 1e6) - x(taken.lowHz / 1e6)) },
    nominal: spectrum.nominal
      .filter(({ carrierHz }) => carrierHz >= lowHz && carrierHz <= highHz)
      .map(({ carrierHz }) => ({ x: x(carrierHz / 1e6), label: inLine(frequencyShown(carrierHz)) })),
  };
}

/** A part of the band with its strongest line. */
export interface SpectrumPart {
  readonly fromMhz: string;
  readonly toMhz: string;
  readonly dbfs: string;
  readonly overNoiseDb: string;
}

/** The band in equal parts, for the table. */
export function spectrumParts({ lowHz, lineHz, dbfs, noiseDbfs }: SpectrumBody, count: number): SpectrumPart[] {
  return Array.from({ length: count }, (_, i) => {
    const [from, to] = [Math.floor((i * dbfs.length) / count), Math.floor(((i + 1) * dbfs.length) / count)];
    const most = dbfs.slice(from, to).reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
    return {
      fromMhz: mhz(lowHz + from * lineHz),
      toMhz: mhz(lowHz + to * lineHz),
      dbfs: figure(most, 1),
      overNoiseDb: figure(most - noiseDbfs, 1),
    };
  });
}

function mhz(hz: number): string {
  return figure(hz / 1e6, 3);
}
