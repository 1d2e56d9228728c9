/** Bits from text such as `"0011 1010"`; spaces are for reading only. */
export function bits(text: string): Uint8Array {
  return Uint8Array.from(text.replaceAll(" ", ""), Number);
}

/** Bits as text, without spaces. */
export function text(row: Uint8Array): string {
  return row.join("");
}

/** Bits of bytes, each with its highest bit first. */
export function bitsOfBytes(bytes: Uint8Array): Uint8Array {
  return Uint8Array.from({ length: 8 * bytes.length }, (_, i) => (bytes[i >> 3]! >> (7 - (i & 7))) & 1);
}

/** Bits of bytes in hex such as `"FF e1"`, each with its highest bit first. */
export function bitsOfHex(hex: string): Uint8Array {
  const pairs = hex.replaceAll(" ", "").match(/../g) ?? [];
  return bitsOfBytes(Uint8Array.from(pairs, (pair) => Number.parseInt(pair, 16)));
}

/** Bytes in upper-case hex, parted by spaces, of bits with each byte's highest bit first. */
export function hexOf(row: Uint8Array): string {
  const bytes = text(row).match(/.{8}/g) ?? [];
  return bytes.map((byte) => Number.parseInt(byte, 2).toString(16).toUpperCase().padStart(2, "0")).join(" ");
}

/** The nine ASCII bytes "123456789" on which published check values are given. */
export const nineDigits: Uint8Array = bitsOfBytes(new TextEncoder().encode("123456789"));
