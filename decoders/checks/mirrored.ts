/** The lowest `width` bits of `value` in reverse order; what lies above them is left off. */
export function mirrored(value: bigint, width: number): bigint {
  let turned = 0n;
  for (let i = 0n; i < BigInt(width); i++) turned = (turned << 1n) | ((value >> i) & 1n);
  return turned;
}
