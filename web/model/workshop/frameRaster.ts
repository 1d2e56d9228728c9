import { bitsOfHex } from "../../../decoders/frames/hex.ts";
import type { WorkedFrames } from "../../../decoders/workshop/workOut.ts";
import type { Stretch } from "../fieldRuler.ts";

/** A telegram in the raster. */
export interface RasterRow {
  readonly key: string;
  readonly sender: number | null;
  readonly bits: Uint8Array;
}

/** More are not told apart by the eye. */
const MOST_ROWS = 48;

/** Telegrams below each other: those of a sensor together, each in order of time. */
export function rasterRows({ telegrams, bitCount }: Pick<WorkedFrames, "telegrams" | "bitCount">): {
  readonly rows: readonly RasterRow[];
  readonly left: number;
} {
  const all = telegrams
    .map(({ ids, sender, bits }) => ({ key: ids[0] ?? "", sender, bits: bitsOfHex(bits, bitCount) }))
    .map((row, i) => ({ row, i }))
    .sort((a, b) => (a.row.sender ?? 0) - (b.row.sender ?? 0) || a.i - b.i)
    .map(({ row }) => row);
  const every = Math.ceil(all.length / MOST_ROWS);
  const rows = every > 1 ? all.filter((_, i) => i % every === 0) : all;
  return { rows, left: all.length - rows.length };
}

/** The ones of a row from a bit on, as one path of boxes. */
export function onesPath(
  bits: Uint8Array,
  from: number,
  count: number,
  bitPx: number,
  y: number,
  height: number,
): string {
  let path = "";
  for (let i = 0; i < count; ) {
    if (bits[from + i] !== 1) {
      i++;
      continue;
    }
    const first = i;
    while (i < count && bits[from + i] === 1) i++;
    path += `M${round(first * bitPx)} ${y}h${round((i - first) * bitPx)}v${height}h${round((first - i) * bitPx)}z`;
  }
  return path;
}

function round(value: number): number {
  return Math.round(10 * value) / 10;
}

/** Neighbouring bits that move alike, as stretches of the ruler. */
export function likenessStretches(bits: WorkedFrames["bits"]): readonly Stretch[] {
  const found: Stretch[] = [];
  for (const [at, { likeness }] of bits.entries()) {
    const last = found.at(-1);
    if (last && last.name === likeness) found[found.length - 1] = { ...last, bits: last.bits + 1 };
    else found.push({ kind: kindOf(likeness), key: LETTERS[likeness], name: likeness, at, bits: 1 });
  }
  return found;
}

function kindOf(likeness: WorkedFrames["bits"][number]["likeness"]): Stretch["kind"] {
  return likeness === "constant" ? "unassigned" : likeness === "check" ? "check" : "field";
}

const LETTERS: Readonly<Record<WorkedFrames["bits"][number]["likeness"], string>> = {
  constant: "·",
  identity: "i",
  counter: "n",
  "slow value": "v",
  flag: "f",
  check: "c",
};

/** Fields and checks as they lie in the frames shown here, and what neither names. */
export function namedStretches({
  fields,
  checks,
  bitCount,
}: Pick<WorkedFrames, "fields" | "checks" | "bitCount">): readonly Stretch[] {
  const named = [
    ...fields.map(({ field: { name, at, bits } }) => ({ kind: "field" as const, name, at, bits })),
    ...checks
      .filter(({ taken }) => taken)
      .map(({ check }) => ({
        kind: "check" as const,
        name: check.kind,
        at: check.at,
        bits: check.kind === "parity" ? 1 : check.width,
      })),
  ].sort((a, b) => a.at - b.at);
  const all: Stretch[] = [];
  let next = 0;
  const bare = (to: number) => {
    if (to > next) all.push({ kind: "unassigned", key: "·", name: "not named", at: next, bits: to - next });
  };
  for (const [i, stretch] of named.entries()) {
    bare(stretch.at);
    all.push({ ...stretch, key: String(i + 1) });
    next = Math.max(next, stretch.at + stretch.bits);
  }
  bare(bitCount);
  return all;
}
