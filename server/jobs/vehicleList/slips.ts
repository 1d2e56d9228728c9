import type { Reading } from "./readVehicleList.ts";

export type SlipKind =
  | "decimal read as hex"
  | "hex read as decimal"
  | "bytes reversed"
  | "digit lost"
  | "digit too many"
  | "two swapped"
  | "one mistyped";

/** One slip that turns an identity into what the list says. */
export interface Slip {
  readonly kind: SlipKind;
  /** The identity that was meant, lower-case hex. */
  readonly identity: string;
  /** The notation in which the slip is one. */
  readonly notation: Reading["notation"];
  /** The identity in that notation, as far as its digits were compared. */
  readonly right: string;
  /** What the list says, likewise. */
  readonly written: string;
  /**
   * The digit, from 1: of `written` where one is too many, of `right` otherwise, the first of two that are swapped; 0
   * where the whole is concerned.
   */
  readonly at: number;
  /** The last digit of a row of equal ones, any of which may be the one; else the same as `at`. */
  readonly upTo: number;
  /** How many such slips could have happened to this identity. */
  readonly ways: number;
}

/** The slips, each by itself enough, that turn `identity` into what the list says; none where both are the same. */
export function slipsBetween(reading: Reading, identity: string): Slip[] {
  const value = numberOf(reading);
  if (value === BigInt(`0x${identity}`)) return [];
  return [...wholeSlips(reading, value, identity), ...digitSlips(reading, identity)];
}

/** The number that a reading stands for. */
export function numberOf({ notation, digits }: Reading): bigint {
  return BigInt(notation === "hex" ? `0x${digits}` : digits);
}

function wholeSlips(reading: Reading, value: bigint, identity: string): Slip[] {
  const { notation, digits } = reading;
  const whole = { identity, notation, written: digits, at: 0, upTo: 0, ways: 1 };
  const meant = BigInt(`0x${identity}`);
  const slips: Slip[] = [];
  // The list's number, written in hex, looks like the decimal number of the sensor.
  if (value.toString(16) === meant.toString(10)) {
    slips.push({ ...whole, kind: "decimal read as hex", right: meant.toString(10) });
  }
  if (value.toString(10) === meant.toString(16)) {
    slips.push({ ...whole, kind: "hex read as decimal", right: meant.toString(16) });
  }
  const even = identity.length % 2 === 0 ? identity : `0${identity}`;
  const reversed = even.match(/../g)!.toReversed().join("");
  if (value === BigInt(`0x${reversed}`)) slips.push({ ...whole, kind: "bytes reversed", right: identity });
  return slips;
}

function digitSlips({ notation, digits }: Reading, identity: string): Slip[] {
  const right = notation === "hex" ? identity : BigInt(`0x${identity}`).toString(10);
  const bare = withoutZeros(right);
  // A list may leave out zeros in front, or put some there.
  const pairs: readonly (readonly [written: string, right: string])[] = [
    [digits, right],
    [withoutZeros(digits), bare],
    [digits.padStart(right.length, "0"), right],
  ];
  for (const [written, meant] of pairs) {
    const slip = digitSlip(written, meant, notation === "hex" ? 16 : 10);
    if (slip) return [{ ...slip, identity, notation, written, right: meant }];
  }
  return [];
}

function digitSlip(
  written: string,
  right: string,
  base: number,
): Pick<Slip, "kind" | "at" | "upTo" | "ways"> | undefined {
  let same = 0;
  while (same < right.length && written[same] === right[same]) same++;
  const more = written.length - right.length;
  if (more === -1 && written.slice(same) === right.slice(same + 1)) {
    return { kind: "digit lost", ...rowAround(right, same), ways: right.length };
  }
  if (more === 1 && written.slice(same + 1) === right.slice(same)) {
    const ways = (right.length + 1) * (base - 1) + 1;
    return { kind: "digit too many", ...rowAround(written, same), ways };
  }
  if (more !== 0) return undefined;
  const place = { at: same + 1, upTo: same + 1 };
  if (written.slice(same + 1) === right.slice(same + 1)) {
    return { kind: "one mistyped", ...place, ways: right.length * (base - 1) };
  }
  const swapped = written[same] === right[same + 1] && written[same + 1] === right[same];
  if (swapped && written.slice(same + 2) === right.slice(same + 2)) {
    return { kind: "two swapped", ...place, ways: right.length - 1 };
  }
  return undefined;
}

/** The row of equal digits that digit `index` stands in, from 1. */
function rowAround(digits: string, index: number): { at: number; upTo: number } {
  let from = index;
  let to = index;
  while (from > 0 && digits[from - 1] === digits[index]) from--;
  while (to + 1 < digits.length && digits[to + 1] === digits[index]) to++;
  return { at: from + 1, upTo: to + 1 };
}

function withoutZeros(digits: string): string {
  return digits.replace(/^0+(?=.)/, "");
}
