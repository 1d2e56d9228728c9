/** A sensor ID cut into groups of four characters from the left, for comparing with a label: `3f09`, `c2d1`. */
export function identityGroups(identity: string): string[] {
  return identity.match(/.{1,4}/gsu) ?? [];
}

/** A sensor ID as somebody types it, made comparable: no spaces, small letters; empty means none. */
export function identityTyped(text: string): string | null {
  const plain = text.replace(/[\s:-]/g, "").toLowerCase();
  return plain === "" ? null : plain;
}
