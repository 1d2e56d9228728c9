/**
 * Flesch-Kincaid grade of an English text: the school year that reads it with ease.
 *
 * @source Kincaid, Fishburne, Rogers and Chissom 1975, Navy Research Branch Report 8-75: 0.39 words a sentence + 11.8
 * syllables a word - 15.59. The formula is from memory.
 * @throws RangeError for a text without words.
 */
export function readingGrade(text: string): number {
  const sentences = text.split(/[.!?](?:\s|$)/).filter((part) => wordsOf(part).length > 0);
  const words = wordsOf(text);
  if (words.length === 0) throw new RangeError(`no words in ${JSON.stringify(text)}`);
  const syllables = words.reduce((sum, word) => sum + syllablesOf(word), 0);
  return 0.39 * (words.length / sentences.length) + 11.8 * (syllables / words.length) - 15.59;
}

/**
 * Syllables of an English word, by groups of vowels: endings that are not spoken taken off, pairs that are spoken apart
 * counted twice. A figure counts as one word of as many syllables as it has digits, a word in capitals letter by letter.
 */
export function syllablesOf(word: string): number {
  if (/^\d/.test(word)) return word.replace(/\D/g, "").length;
  if (/^[A-Z]{2,}$/.test(word)) return word.length;
  const letters = word
    .toLowerCase()
    .replace(/'s?$/, "")
    .replace(/[^a-z]/g, "");
  const spoken = letters
    .replace(/(?<=[^aeiouy])le$/, "el") // a table, a cable
    .replace(/(?<=[^aeiou])es$/, (ending, at) => (/(?:[sxz]|ch|sh|[cg])$/.test(letters.slice(0, at)) ? ending : "s"))
    .replace(/(?<=[^aeioutd])ed$/, "d") // typed, but noted
    .replace(/(?<=[a-z][^aeiouy]|[aeiouy][^aeiouy]|[aeiou]u)e$/, ""); // a gauge, a cage
  const groups = spoken.match(/[aeiouy]+/g) ?? [];
  const apart = spoken.match(/(?<![ct])ia|io(?!n)|eo(?!p)|iu|[^q]ua(?!r)/g) ?? [];
  return Math.max(1, groups.length + apart.length);
}

function wordsOf(text: string): string[] {
  return text.match(/[\p{L}\d][\p{L}\d'.,]*[\p{L}\d]|[\p{L}\d]/gu) ?? [];
}
