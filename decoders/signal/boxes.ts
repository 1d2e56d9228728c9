import { sumAt, WIDTHS, type WidthIndex, zOfSum } from "./sums.ts";

/** Power over the noise, less the noise, of a stretch of steps: 0 on average where nothing is sent. */
export interface Cells {
  /** Row by row, one row a step. What is found is cleared in it. */
  readonly excess: Float32Array;
  readonly rows: number;
  readonly channels: number;
  /** Transforms averaged in a cell. */
  readonly averages: number;
}

/** Something that rises over the noise for a while, in one run of channels or in two. */
export interface Box {
  readonly firstRow: number;
  /** Half open. */
  readonly endRow: number;
  readonly lowChannel: number;
  /** Half open. */
  readonly highChannel: number;
  /** Normal quantile of what was added up; where a second frequency was looked for, less what looking is worth. */
  readonly z: number;
  /** Mean excess of a cell in the channels that decided. */
  readonly level: number;
}

/** Times over which cells are added up, in steps of about half a millisecond. */
const LENGTHS = [4, 8, 14, 20, 28, 44] as const;
/** Shorter sums than this are so many more that they have to be that much less likely: 2·ln of how many times. */
const DEAR_LENGTH = 16;
/** Starts that are tried, in parts of a length. */
const STARTS_A_LENGTH = 8;
/** A second frequency must stand out this far by itself. */
const PARTNER_Z = 2.5;
/** A channel beside those that decided belongs to them from here on. */
const BESIDE_Z = 2.5;
/** Twice the logarithm of the places where a second frequency may be, about: what its z² has to pay for. */
const PARTNER_COST = 5.5;

/** A sum of cells: its channels begin at `channel`, its rows at `row`. */
interface Sum {
  readonly row: number;
  readonly length: number;
  readonly channel: number;
  readonly w: WidthIndex;
  readonly z: number;
}

/**
 * The sum of cells that is least likely to be noise, grown to what it is part of.
 *
 * @param leastZ A less unlikely one is none.
 * @param reach How many channels away the second frequency of a sender may be.
 */
export function bestBox(cells: Cells, reach: number, leastZ: number): Box | undefined {
  const sums = runningSums(cells);
  const best = bestSum(cells, sums);
  if (!best) return undefined;
  const partner = partnerOf(cells, sums, best, reach);
  const z = Math.max(best.z, partner ? paid((best.z + partner.z) / Math.SQRT2, PARTNER_COST) : 0);
  if (z < leastZ) return undefined;
  const parts = partner ? [best, partner] : [best];
  const { first, end, level } = extent(cells, best, parts);
  const grown = parts.map((part) => beside(cells, sums, part, first, end));
  return {
    firstRow: first,
    endRow: end,
    lowChannel: Math.min(...grown.map(({ low }) => low)),
    highChannel: Math.max(...grown.map(({ high }) => high)),
    z,
    level,
  };
}

/**
 * Whether sixteen rows, from every fourth on, pass one of these sums over one, two or four channels: much sooner said
 * than which.
 */
export function rises({ excess, rows, channels }: Cells, thresholds: readonly [number, number, number]): boolean {
  const sums = new Float32Array(channels + 3); // zeros past the last channel
  const [one, two, four] = [thresholds[0] - 16, thresholds[1] - 32, thresholds[2] - 64];
  for (let row = 0; row + 4 <= rows; row += 4) {
    const gone = row - 16;
    for (let c = 0; c < channels; c++) {
      let sum = sums[c]!;
      for (let at = row * channels + c; at < (row + 4) * channels; at += channels) sum += excess[at]!;
      if (gone >= 0) {
        for (let at = gone * channels + c; at < (gone + 4) * channels; at += channels) sum -= excess[at]!;
      }
      sums[c] = sum;
    }
    for (let c = 0; c < channels; c++) {
      const pair = sums[c]! + sums[c + 1]!;
      if (sums[c]! > one || pair > two || pair + sums[c + 2]! + sums[c + 3]! > four) return true;
    }
  }
  return false;
}

/** A normal quantile after so many places were tried for it. */
function paid(z: number, cost: number): number {
  return Math.sqrt(Math.max(0, z * Math.abs(z) - cost));
}

/** By channel and row, what all rows before hold: `rows + 1` rows. */
function runningSums({ excess, rows, channels }: Cells): Float64Array {
  const sums = new Float64Array((rows + 1) * channels);
  for (let i = 0; i < rows * channels; i++) sums[i + channels] = sums[i]! + excess[i]!;
  return sums;
}

function bestSum(cells: Cells, sums: Float64Array): Sum | undefined {
  const { rows, channels, averages } = cells;
  let best: Sum | undefined;
  for (const length of LENGTHS) {
    if (length > rows) break;
    const stride = Math.max(1, Math.floor(length / STARTS_A_LENGTH));
    const top = [0, 0, 0];
    const at = [-1, -1, -1];
    for (let row = 0; row + length <= rows; row += stride) {
      const before = row * channels;
      const after = before + length * channels;
      let a = sums[after]! - sums[before]!;
      let b = sums[after + 1]! - sums[before + 1]!;
      let c = sums[after + 2]! - sums[before + 2]!;
      for (let k = 0; k < channels; k++) {
        const d = k + 3 < channels ? sums[after + k + 3]! - sums[before + k + 3]! : 0;
        const pair = a + b;
        const four = pair + c + d;
        if (a > top[0]!) {
          top[0] = a;
          at[0] = before + k;
        }
        if (pair > top[1]! && k + 2 <= channels) {
          top[1] = pair;
          at[1] = before + k;
        }
        if (four > top[2]! && k + 4 <= channels) {
          top[2] = four;
          at[2] = before + k;
        }
        a = b;
        b = c;
        c = d;
      }
    }
    for (const w of [0, 1, 2] as const) {
      if (at[w]! < 0) continue;
      const plain = zOfSum(averages, length, w, top[w]! + WIDTHS[w] * length);
      const z = paid(plain, 2 * Math.log(Math.max(1, DEAR_LENGTH / length)));
      if (best && z <= best.z) continue;
      best = { row: Math.floor(at[w]! / channels), length, channel: at[w]! % channels, w, z };
    }
  }
  return best;
}

/** Where in the same time something else stands out, with a channel between. */
function partnerOf({ channels, averages }: Cells, sums: Float64Array, best: Sum, reach: number): Sum | undefined {
  const before = best.row * channels;
  const after = before + best.length * channels;
  let partner: Sum | undefined;
  for (const w of [0, 1, 2] as const) {
    const width = WIDTHS[w];
    const low = Math.max(0, best.channel - reach - width);
    const high = Math.min(channels, best.channel + WIDTHS[best.w] + reach + width);
    for (let k = low; k + width <= high; k++) {
      if (k + width >= best.channel && k <= best.channel + WIDTHS[best.w]) continue;
      let sum = width * best.length;
      for (let c = k; c < k + width; c++) sum += sums[after + c]! - sums[before + c]!;
      const z = zOfSum(averages, best.length, w, sum);
      if (z > (partner?.z ?? PARTNER_Z)) partner = { ...best, channel: k, w, z };
    }
  }
  return partner;
}

/** The rows that are likelier in the burst than beside it, given how far it rises: the greatest sum over half of that. */
function extent({ excess, rows, channels }: Cells, best: Sum, parts: readonly Sum[]) {
  const series = new Float64Array(rows);
  let width = 0;
  for (const { channel, w } of parts) {
    width += WIDTHS[w];
    for (let c = channel; c < channel + WIDTHS[w]; c++) {
      for (let r = 0; r < rows; r++) series[r] = series[r]! + excess[r * channels + c]!;
    }
  }
  let first = best.row;
  let end = best.row + best.length;
  let mean = 0;
  for (let round = 0; round < 2; round++) {
    mean = 0;
    for (let r = first; r < end; r++) mean += series[r]! / (end - first);
    const middle = (first + end) >> 1;
    first = middle - reachOut(middle, (i) => series[middle - 1 - i]! - mean / 2);
    end = middle + reachOut(rows - middle, (i) => series[middle + i]! - mean / 2);
    if (end === first) end = first + 1;
  }
  return { first, end, level: mean / width };
}

/** How many of the values from the first on have the greatest sum. */
function reachOut(count: number, value: (i: number) => number): number {
  let best = 0;
  let most = 0;
  let sum = 0;
  for (let i = 0; i < count; i++) {
    sum += value(i);
    if (sum <= best) continue;
    best = sum;
    most = i + 1;
  }
  return most;
}

/** A run of channels with those beside it that rise in the same time. */
function beside({ channels, averages }: Cells, sums: Float64Array, part: Sum, first: number, end: number) {
  const least = sumAt(averages, end - first, 0, BESIDE_Z) - (end - first);
  const rises = (c: number) =>
    c >= 0 && c < channels && sums[end * channels + c]! - sums[first * channels + c]! > least;
  let low = part.channel;
  let high = part.channel + WIDTHS[part.w];
  while (rises(low - 1)) low--;
  while (rises(high)) high++;
  return { low, high };
}
