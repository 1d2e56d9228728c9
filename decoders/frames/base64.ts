const DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/** Bytes as base64 with its padding. @source RFC 4648, section 4. */
export function base64Of(bytes: Uint8Array): string {
  let text = "";
  for (let i = 0; i < bytes.length; i += 3) {
    const [a, b, c] = [bytes[i]!, bytes[i + 1], bytes[i + 2]];
    const word = (a << 16) | ((b ?? 0) << 8) | (c ?? 0);
    text += DIGITS[word >> 18]! + DIGITS[(word >> 12) & 63]!;
    text += (b === undefined ? "=" : DIGITS[(word >> 6) & 63]!) + (c === undefined ? "=" : DIGITS[word & 63]!);
  }
  return text;
}

/** Bytes out of base64; what is none of its digits counts as nothing. */
export function bytesOfBase64(text: string): Uint8Array {
  const digits = [...text].map((digit) => DIGITS.indexOf(digit)).filter((digit) => digit >= 0);
  const bytes = new Uint8Array(Math.floor((digits.length * 3) / 4));
  for (let i = 0; i < bytes.length; i++) {
    const at = Math.floor((i * 4) / 3);
    const shift = 2 * ((i % 3) + 1);
    bytes[i] = (digits[at]! << shift) | (digits[at + 1]! >> (6 - shift));
  }
  return bytes;
}
