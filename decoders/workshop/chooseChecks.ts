import { checkWidth } from "../layouts/validate.ts";
import type { CheckFinding } from "./derive.ts";
import type { Senders } from "./senders.ts";

// Which of the checks that frames bear is taken.

/** What was tried before and after changes the evidence by no more than this. */
const TRIAL_BITS = 14;

/** The one with most evidence first; of those that have about as much, the one that covers most, words before polynomials. */
export function best(
  found: readonly CheckFinding[],
  moves: Uint8Array,
  overlap: (one: CheckFinding) => number,
): readonly CheckFinding[] {
  // A check stands last, or first, more often than between.
  const place = ({ check }: CheckFinding) => {
    const ends = check.covers.map(([first, count]) => first + count);
    return check.at >= Math.max(...ends) ? 0 : check.covers.every(([first]) => first > check.at) ? 1 : 2;
  };
  const most = Math.max(0, ...found.map(({ evidenceBits }) => evidenceBits));
  const moving = (at: number, bits: number) => moves.subarray(at, at + bits).reduce((sum, bit) => sum + bit, 0);
  const covered = ({ check }: CheckFinding) =>
    check.covers.reduce((sum: number, [at, bits]) => sum + moving(at, bits), moving(check.at, checkWidth(check)));
  const isNear = ({ evidenceBits }: CheckFinding) => Number(evidenceBits < most - TRIAL_BITS);
  const isCrc = ({ check }: CheckFinding) => Number(check.kind === "crc");
  return [...found].sort(
    (a, b) =>
      isNear(a) - isNear(b) ||
      (isNear(a) === 1 ? b.evidenceBits - a.evidenceBits : 0) ||
      covered(b) - covered(a) ||
      isCrc(a) - isCrc(b) ||
      overlap(a) - overlap(b) ||
      place(a) - place(b) ||
      b.evidenceBits - a.evidenceBits,
  );
}

/** In a sum or an exclusive-or each word may be called the check of the others: over the same bits a second tells nothing new. */
export function isImplied(one: CheckFinding, other: CheckFinding): boolean {
  const bitsOf = ({ check }: CheckFinding) => {
    const bits = new Set<number>();
    for (const [first, count] of [...check.covers, [check.at, checkWidth(check)] as const]) {
      for (let i = 0; i < count; i++) bits.add(first + i);
    }
    return bits;
  };
  const [its, others] = [bitsOf(one), bitsOf(other)];
  const shared = [...its].filter((bit) => others.has(bit)).length;
  const covers = [...bitsOf(other)].every((bit) =>
    one.check.covers.some(([first, n]) => bit >= first && bit < first + n),
  );
  return shared > 0.8 * Math.min(its.size, others.size) && !covers;
}

/** Checks of words over the same bits as one that is known: which of the words is the check senders and fields tell. */
export function sameWords(found: readonly CheckFinding[], known: readonly CheckFinding[]): readonly CheckFinding[] {
  return found.flatMap((one) => {
    const same = known.find((other) => other.check.kind === one.check.kind && isImplied(one, other));
    return same ? [{ ...one, evidenceBits: Math.min(one.evidenceBits, same.evidenceBits) }] : [];
  });
}

export function isIn({ at, bits }: Senders, { check }: CheckFinding): boolean {
  return at < check.at + checkWidth(check) && check.at < at + bits;
}
