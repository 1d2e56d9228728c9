/** One line of the list that is handed to whatever teaches the vehicle. */
export interface RegistrationLine {
  readonly position: string;
  /** Hex in capitals, in groups of two from the right; the first group has one digit where the number of them is odd. */
  readonly groups: readonly string[];
  /** The same number in decimal, without gaps. */
  readonly decimal: string;
  /** For large type: the groups with a gap between. */
  readonly large: string;
  /** What a QR code of this one identity holds. */
  readonly qrText: string;
}

export interface Registration {
  readonly lines: readonly RegistrationLine[];
  /** Positions that have no sensor ID yet. */
  readonly missing: readonly string[];
  /** What a QR code of the whole list holds: a line `position hex` for each. */
  readonly qrText: string;
}

/**
 * The list of sensor IDs for registration, one line for each position that has one.
 *
 * @throws RangeError if an identity is not hex: a caller's bug.
 */
export function registrationOf(
  wheels: readonly { readonly position: string; readonly identity: string | null }[],
): Registration {
  const lines = wheels.flatMap(({ position, identity }) => (identity === null ? [] : [lineOf(position, identity)]));
  const missing = wheels.filter(({ identity }) => identity === null).map(({ position }) => position);
  return { lines, missing, qrText: lines.map(({ qrText }) => qrText).join("\n") };
}

/** How a whole sensor ID was read back. */
export type ReadBack =
  | { readonly agrees: true }
  | {
      readonly agrees: false;
      /** The first group that is wrong, missing or too many, from 1. */
      readonly group: number;
      readonly says: string;
    };

/**
 * Whether a sensor ID that was read back is the one that is wanted, the whole of it, and if not, which group of two is
 * the first wrong one.
 *
 * @param identity Hex, in any case.
 * @param typed In any case, with or without spaces, colons, dashes or 0x.
 */
export function readBackOf(identity: string, typed: string): ReadBack {
  const right = groupsOf(identity);
  const plain = typed.replace(/[\s:.-]/g, "").replace(/^0x/i, "");
  // Cut as the right one is, so that a digit that is lost shows where it is lost.
  const read = cutLike(right, plain.toUpperCase());
  const wrong = Array.from({ length: Math.max(right.length, read.length) }, (_, i) => i).find(
    (i) => right[i] !== read[i],
  );
  if (wrong === undefined) return { agrees: true };
  const group = wrong + 1;
  return { agrees: false, group, says: wrongSays(group, right[wrong], read[wrong]) };
}

function lineOf(position: string, identity: string): RegistrationLine {
  const groups = groupsOf(identity);
  const hex = groups.join("");
  const decimal = BigInt(`0x${hex}`).toString(10);
  return { position, groups, decimal, large: groups.join(" "), qrText: `${position} ${hex}` };
}

function groupsOf(identity: string): string[] {
  if (!/^[0-9a-f]+$/i.test(identity)) throw new RangeError(`identity must be hex, got ${JSON.stringify(identity)}`);
  const hex = identity.toUpperCase();
  const odd = hex.length % 2;
  return [...(odd ? [hex.charAt(0)] : []), ...(hex.slice(odd).match(/../g) ?? [])];
}

function cutLike(groups: readonly string[], digits: string): string[] {
  const cut: string[] = [];
  let at = 0;
  for (const { length } of groups) {
    if (at < digits.length) cut.push(digits.slice(at, at + length));
    at += length;
  }
  return at < digits.length ? [...cut, digits.slice(at)] : cut;
}

function wrongSays(group: number, right: string | undefined, read: string | undefined): string {
  if (read === undefined) return `Group ${group}, ${right}, is missing. Read it back whole, from the first group on.`;
  if (right === undefined) return `${read} is too many at the end. Read it back whole.`;
  return `Group ${group} is ${right}, not ${read}. Look again at this group and those behind it.`;
}
