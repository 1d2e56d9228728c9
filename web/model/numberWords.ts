/** A number from 0 up to a thousand million in words: `one thousand two hundred and thirty-four`, `one point two`. */
export function numberWords(value: number): string {
  const [whole = "", parts] = String(value).split(".");
  const words = wholeWords(Number(whole));
  return parts === undefined ? words : `${words} point ${[...parts].map((digit) => SMALL[Number(digit)]).join(" ")}`;
}

const SMALL =
  "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split(
    " ",
  );
const TENS = "- - twenty thirty forty fifty sixty seventy eighty ninety".split(" ");

function wholeWords(value: number): string {
  if (value < 20) return SMALL[value] ?? String(value);
  if (value < 100) return `${TENS[Math.floor(value / 10)]}${value % 10 ? `-${SMALL[value % 10]}` : ""}`;
  const [size, name] = value < 1000 ? [100, "hundred"] : value < 1e6 ? [1000, "thousand"] : [1e6, "million"];
  const rest = value % size;
  const front = `${wholeWords(Math.floor(value / size))} ${name}`;
  if (rest === 0) return front;
  return `${front}${rest < 100 ? " and" : ""} ${wholeWords(rest)}`;
}
