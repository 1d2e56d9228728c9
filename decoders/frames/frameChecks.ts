import { type CheckColumns, columnsOf } from "../checks/columns.ts";
import { minimumDistance } from "../checks/distance.ts";
import type { Layout } from "../layouts/schema.ts";
import { checkWidth } from "../layouts/validate.ts";
import { whiteningSequence } from "../layouts/whitening.ts";
import { type LineCode, lineCodeOf, type WordSymbols, wordSymbols } from "../linecode/lineCode.ts";
import { knownSymbols } from "../signal/matched.ts";

/** A layout made ready for reading frames: its code, its checks as columns, its constants. Made once a layout. */
export interface FramePlan {
  readonly layout: Layout;
  readonly code: LineCode;
  readonly words: WordSymbols;
  /** Preamble and sync, 1 and −1. */
  readonly known: Int8Array;
  /** The last symbol of the sync. */
  readonly level: 0 | 1;
  readonly columns: readonly CheckColumns[];
  /** By frame bit: the bit that a constant demands, or −1. */
  readonly constants: Int8Array;
  /** By frame bit: 1 where a check or a constant answers for it. */
  readonly covered: Uint8Array;
  /** By frame bit: what whitening adds on air. */
  readonly whitening: Uint8Array;
  /** Bits of all checks and constants together. */
  readonly guardBits: number;
  /** So many wrong bits at least pass unnoticed; 1 where no check answers for every bit that may be wrong. */
  readonly fewestMissed: number;
  readonly fewestSymbols: number;
  readonly mostSymbols: number;
}

export function framePlan(layout: Layout): FramePlan {
  const code = lineCodeOf(layout);
  const lengths = code.words.flatMap((words) => [words.zero.length, words.one.length]);
  const columns = layout.checks.map((check) => columnsOf(check, layout.bits));
  const constants = new Int8Array(layout.bits).fill(-1);
  for (const field of layout.fields) {
    if (field.type !== "constant" || field.equals === undefined) continue;
    for (let i = 0; i < field.bits; i++) {
      const weight = field.bitOrder === "lsb-first" ? i : field.bits - 1 - i;
      constants[field.at + i] = Math.floor(field.equals / 2 ** weight) % 2;
    }
  }
  const covered = new Uint8Array(layout.bits);
  for (let i = 0; i < layout.bits; i++) {
    covered[i] = constants[i]! >= 0 || columns.some((c) => c.low[i] !== 0 || c.high[i] !== 0) ? 1 : 0;
  }
  const constantBits = constants.reduce((sum, bit) => sum + (bit >= 0 ? 1 : 0), 0);
  return {
    layout,
    code,
    words: wordSymbols(code),
    known: knownSymbols(layout),
    level: layout.sync.symbols.endsWith("1") ? 1 : 0,
    columns,
    constants,
    covered,
    whitening: layout.whitening ? whiteningSequence(layout.whitening, layout.bits) : new Uint8Array(layout.bits),
    guardBits: layout.checks.reduce((sum, check) => sum + checkWidth(check), constantBits),
    fewestMissed: fewestMissed(columns, constants, covered),
    fewestSymbols: Math.min(...lengths) * layout.bits,
    mostSymbols: Math.max(...lengths) * layout.bits,
  };
}

function fewestMissed(columns: readonly CheckColumns[], constants: Int8Array, covered: Uint8Array): number {
  const distances = columns.map((check) => {
    const everywhere = covered.every(
      (one, i) => !one || constants[i]! >= 0 || check.low[i] !== 0 || check.high[i] !== 0,
    );
    if (check.group !== "xor" || !everywhere) return 1;
    const least = minimumDistance(check);
    return "distance" in least ? least.distance : least.distanceAtLeast;
  });
  return Math.max(1, ...distances);
}

/** Does a frame satisfy one check? */
export function columnsAgree(columns: CheckColumns, frame: Uint8Array): boolean {
  let low = 0;
  let high = 0;
  for (let i = 0; i < frame.length; i++) {
    if (!frame[i]) continue;
    if (columns.group === "xor") {
      low ^= columns.low[i]!;
      high ^= columns.high[i]!;
    } else low = (low + columns.low[i]!) % 2 ** columns.width;
  }
  return low >>> 0 === columns.targetLow && high >>> 0 === columns.targetHigh;
}

/** Constants of the layout that the frame does not have: how many bits differ. */
export function constantErrors(plan: FramePlan, frame: Uint8Array): number {
  let errors = 0;
  for (let i = 0; i < frame.length; i++) if (plan.constants[i]! >= 0 && plan.constants[i] !== frame[i]) errors++;
  return errors;
}
