/**
 * Whether two hex digits are easily taken for each other on a small or worn label.
 *
 * @source Common practice, no source: judged by the shapes of printed capitals, small b among them.
 */
export function lookAlike(a: string, b: string): boolean {
  const pair = [a.toLowerCase(), b.toLowerCase()].toSorted().join("");
  return PAIRS.has(pair);
}

/**
 * The first letter of a text that is no hex digit but looks like one; `undefined` if the text is a word and no slip, that
 * is if fewer than half of its characters are hex digits.
 */
export function lettersLike(text: string): { readonly letter: string; readonly digit: string } | undefined {
  const others = [...text].filter((character) => !/[0-9a-f]/i.test(character));
  if (others.length * 2 > text.length) return undefined;
  const letter = others.find((character) => LETTERS.has(character.toLowerCase()));
  return letter === undefined ? undefined : { letter, digit: LETTERS.get(letter.toLowerCase())! };
}

const PAIRS: ReadonlySet<string> = new Set(["8b", "0d", "17", "6b", "38", "56", "ef", "4a", "08"]);

const LETTERS: ReadonlyMap<string, string> = new Map([
  ["o", "0"],
  ["q", "0"],
  ["i", "1"],
  ["l", "1"],
  ["z", "2"],
  ["s", "5"],
  ["g", "6"],
  ["t", "7"],
]);
