/** Trouble codes before and after clearing, as they were typed, and nothing of what they mean. */
export interface TroubleCodes {
  /** In the order in which they were typed, each once. */
  readonly inBoth: readonly string[];
  /** After clearing, not before. */
  readonly added: readonly string[];
  /** Before clearing, not after. */
  readonly gone: readonly string[];
  readonly says: string;
}

/**
 * Which trouble codes came, stayed and went. What they mean differs by maker and is left to the maker's manual.
 *
 * @param before Codes parted by spaces, commas, semicolons or line ends.
 * @param after Likewise; codes are the same whatever the case of their letters.
 */
export function troubleCodes(before: string, after: string): TroubleCodes {
  const [first, second] = [codesIn(before), codesIn(after)];
  const inBoth = [...first].flatMap(([key, code]) => (second.has(key) ? [code] : []));
  const gone = [...first].flatMap(([key, code]) => (second.has(key) ? [] : [code]));
  const added = [...second].flatMap(([key, code]) => (first.has(key) ? [] : [code]));
  const parts = [part("Still there", inBoth), part("New", added), part("Gone", gone)].filter((text) => text !== "");
  const says =
    parts.length === 0 ? "No codes were entered." : `${parts.join(" ")} For their meaning see the maker's manual.`;
  return { inBoth, added, gone, says };
}

/** Codes as typed, by what they are compared by. */
function codesIn(text: string): Map<string, string> {
  const codes = new Map<string, string>();
  for (const code of text.split(/[\s,;]+/).filter((one) => one !== "")) {
    const key = code.toUpperCase();
    if (!codes.has(key)) codes.set(key, code);
  }
  return codes;
}

function part(name: string, codes: readonly string[]): string {
  return codes.length === 0 ? "" : `${name}: ${codes.join(", ")}.`;
}
