/** What a formula may do with texts, besides arithmetic: nothing of it knows anything of radio or tyres. */
export const WRITING: Readonly<Record<string, (...given: never[]) => number | string>> = {
  pick: (key: number | string, ...pairs: (number | string)[]) => pick(key, pairs),
  joined: (...parts: (number | string)[]) => parts.join(""),
  hexOf: (value: number, digits: number) => whole(value).toString(16).padStart(atMost(digits, MOST_DIGITS), "0"),
  bitsOf: (value: number, width: number) => whole(value).toString(2).padStart(atMost(width, MOST_DIGITS), "0"),
};

const MOST_DIGITS = 64;

/** What stands behind the key: `pick(band, 315, "low", 433, "high")`. */
function pick(key: number | string, pairs: readonly (number | string)[]): number | string {
  for (let i = 0; i + 1 < pairs.length; i += 2) if (pairs[i] === key) return pairs[i + 1]!;
  throw new RangeError(`nothing stands for ${key}`);
}

function whole(value: number): number {
  if (Number.isSafeInteger(value) && value >= 0) return value;
  throw new RangeError(`${value} is no whole number from 0 on`);
}

function atMost(value: number, most: number): number {
  if (Number.isInteger(value) && value >= 0 && value <= most) return value;
  throw new RangeError(`${value} is not from 0 to ${most}`);
}
