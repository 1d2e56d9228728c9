/** Bits to look for, most significant first; `undefined` for one that may be either. */
export interface BitPattern {
  readonly bits: readonly (0 | 1 | undefined)[];
  /** As it was typed, without spaces. */
  readonly text: string;
  readonly says: string;
}

export type PatternRead =
  | { readonly ok: true; readonly value: BitPattern }
  | { readonly ok: false; readonly says: string };

const LEAST_BITS = 3;

/**
 * A pattern such as `1011`, `10xx1` or `0x3a5x`, also with spaces and with the word "bits" before it; `undefined` where
 * a text is none. What begins with 0x is always hex digits.
 */
export function bitPattern(text: string): PatternRead | undefined {
  const named = /^(?:bits?|pattern|symbols?)\b[\s:=]*/i.exec(text);
  const bare = text
    .slice(named?.[0].length ?? 0)
    .toLowerCase()
    .replace(/[\s_]/g, "");
  const hex = /^0x([0-9a-fx]*)$/.exec(bare);
  if (hex) return read(bare, [...(hex[1] ?? "")].flatMap(hexBits));
  if (/^[01x]+$/.test(bare) && (bare.length >= LEAST_BITS || named)) return read(bare, [...bare].map(bit));
  if (!named || bare === "") return undefined;
  return /^[0-9a-fx]+$/.test(bare)
    ? { ok: false, says: `“${bare}” is not made of 0, 1 and x. For hex digits put 0x before them: 0x${bare}.` }
    : undefined;
}

/** Where a pattern begins in some bits, ascending; places may overlap. */
export function placesOf({ bits: wanted }: BitPattern, bits: Uint8Array): number[] {
  const places: number[] = [];
  for (let at = 0; at + wanted.length <= bits.length; at++) {
    let i = 0;
    while (i < wanted.length && (wanted[i] === undefined || wanted[i] === bits[at + i])) i++;
    if (i === wanted.length) places.push(at);
  }
  return places;
}

function read(text: string, bits: BitPattern["bits"]): PatternRead {
  if (bits.length < LEAST_BITS)
    return { ok: false, says: `A pattern has ${LEAST_BITS} bits or more, such as 1011 or 0x3a.` };
  if (bits.every((one) => one === undefined))
    return { ok: false, says: "An x stands for either bit; a 0 or a 1 has to be among them." };
  return { ok: true, value: { bits, text, says: `${text}, ${bits.length} bits` } };
}

function bit(letter: string): 0 | 1 | undefined {
  return letter === "x" ? undefined : letter === "1" ? 1 : 0;
}

function hexBits(digit: string): (0 | 1 | undefined)[] {
  if (digit === "x") return [undefined, undefined, undefined, undefined];
  return [...Number.parseInt(digit, 16).toString(2).padStart(4, "0")].map(bit);
}
