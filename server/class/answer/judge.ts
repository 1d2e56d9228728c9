import type { Value, Values } from "../drawn.ts";
import type { Answer, Exercise, Option, Unit } from "../exercise.ts";
import { evaluated } from "../formula.ts";
import { filled } from "../texts.ts";
import { readQuantity } from "./readQuantity.ts";
import { dimensionOf, inCommon } from "./units.ts";

/** What somebody answered: a text, an option's id, or several of them. */
export type Given = string | readonly string[];

export interface Judged {
  readonly right: boolean;
  /** What to say to it; never the answer. */
  readonly says: string;
}

const RIGHT: Judged = { right: true, says: "That is right." };
const NOT_THAT = "Not that. Look again, or take a hint.";

/**
 * An answer judged by what it means: units are turned into each other, spaces, case and known other words count nothing.
 *
 * What cannot be read as an answer at all is told as such, and how to write one.
 */
export function judged(exercise: Pick<Exercise, "answer" | "wrong">, values: Values, given: Given): Judged {
  const { wrong } = exercise;
  const answer = withOptions(exercise.answer, values);
  const fault = unreadable(answer, given);
  if (fault !== undefined) return { right: false, says: fault };
  if (isAnswer(answer, stated(answer, values), given)) return RIGHT;
  const reply = wrong.find((one) => isAnswer(answer, wrongStated(answer, one.answer, values), given));
  return { right: false, says: reply ? filled(reply.says, values) : NOT_THAT };
}

/** Its options as they are shown: what was drawn may stand in their words. */
function withOptions(answer: Answer, values: Values): Answer {
  if (!("options" in answer)) return answer;
  return { ...answer, options: answer.options.map((one) => ({ ...one, words: filled(one.words, values) })) };
}

/** A number in the asked unit, a text, or ids: what answers are held against. */
type Stated = number | string | readonly string[];

function stated(answer: Answer, values: Values): Stated {
  switch (answer.kind) {
    case "quantity":
      return numberOf(evaluated(answer.is, values));
    case "bits":
    case "hex":
    case "words":
    case "choice":
      return filled(answer.is, values);
    case "choices":
      return answer.are;
    case "order":
      return answer.is.map((one) => filled(one, values));
    default:
      return answer satisfies never;
  }
}

/** The stated answer as text or number, as the reveal tells it. */
export function statedAnswer(answer: Answer, values: Values): Stated {
  return stated(answer, values);
}

function wrongStated(answer: Answer, wrong: Given, values: Values): Stated {
  if (typeof wrong !== "string") return wrong.map((one) => filled(one, values));
  if (answer.kind === "quantity") return numberOf(evaluated(wrong, values));
  if (answer.kind === "choices" || answer.kind === "order") return [filled(wrong, values)];
  return filled(wrong, values);
}

/** A wrong answer as somebody would give it. */
export function wrongGiven(answer: Answer, wrong: Given, values: Values): Given {
  const of = wrongStated(answer, wrong, values);
  if (typeof of === "number" && answer.kind === "quantity") return `${of} ${answer.unit === "1" ? "" : answer.unit}`;
  return typeof of === "number" ? String(of) : of;
}

function isAnswer(answer: Answer, of: Stated, given: Given): boolean {
  switch (answer.kind) {
    case "quantity": {
      const read = readQuantity(typeof given === "string" ? given : "", answer.unit);
      if (read.kind !== "quantity" || dimensionOf(read.unit) !== dimensionOf(answer.unit) || typeof of !== "number") {
        return false;
      }
      return within(read.value, read.unit, of, answer.unit, answer.tolerance);
    }
    case "bits":
      return typeof given === "string" && typeof of === "string" && bare(given) === bare(of);
    case "hex":
      return typeof given === "string" && typeof of === "string" && bareHex(given) === bareHex(of);
    case "words":
      return [of, ...answer.also].some((one) => typeof given === "string" && sameWords(given, String(one)));
    case "choice":
      return optionOf(answer.options, typeof given === "string" ? given : (given[0] ?? ""))?.id === of;
    case "choices": {
      const ids = new Set(
        (typeof given === "string" ? [given] : given).map((one) => optionOf(answer.options, one)?.id),
      );
      return Array.isArray(of) && ids.size === of.length && of.every((one: string) => ids.has(one));
    }
    case "order": {
      const ids = (typeof given === "string" ? given.split(/[,>]/) : given).map(
        (one) => optionOf(answer.options, one)?.id,
      );
      return Array.isArray(of) && ids.length === of.length && of.every((one: string, i: number) => ids[i] === one);
    }
    default:
      return answer satisfies never;
  }
}

/** Within the tolerance, at both ends of it in the unit that was asked for. */
function within(value: number, unit: Unit, of: number, asked: Unit, tolerance: number): boolean {
  const [a, b] = [inCommon(of - tolerance, asked), inCommon(of + tolerance, asked)];
  const least = Math.min(a, b);
  const most = Math.max(a, b);
  const slack = 1e-9 * Math.max(Math.abs(least), Math.abs(most));
  const here = inCommon(value, unit);
  return here >= least - slack && here <= most + slack;
}

function unreadable(answer: Answer, given: Given): string | undefined {
  const text = typeof given === "string" ? given.trim() : given.join(" ").trim();
  if (text === "") return "Nothing was answered.";
  switch (answer.kind) {
    case "quantity": {
      const read = readQuantity(text, answer.unit);
      if (read.kind === "fault") return read.says;
      const asked = dimensionOf(answer.unit);
      const is = dimensionOf(read.unit);
      return is === asked ? undefined : `That is a ${is}; a ${asked} is asked for.`;
    }
    case "bits":
      return /^[01\s_.|-]+$/.test(text) ? undefined : "Write zeros and ones, such as 1011 0010.";
    case "hex":
      return /^(0x)?[0-9a-f\s:-]+$/i.test(text) ? undefined : "Write hex digits, such as 3f 0a.";
    default:
      return undefined;
  }
}

function optionOf(options: readonly Option[], given: string): Option | undefined {
  const byId = options.find(({ id }) => id === given.trim());
  return byId ?? options.find(({ words, also = [] }) => [words, ...also].some((one) => sameWords(one, given)));
}

function sameWords(a: string, b: string): boolean {
  return plain(a) === plain(b);
}

function plain(text: string): string {
  return text
    .toLowerCase()
    .replace(/^(a|an|the)\s+/, "")
    .replace(/[^\p{L}\p{N}]+/gu, " ")
    .trim();
}

function bare(bits: string): string {
  return bits.replace(/[^01]/g, "");
}

function bareHex(hex: string): string {
  return hex
    .trim()
    .toLowerCase()
    .replace(/^0x/, "")
    .replace(/[^0-9a-f]/g, "");
}

function numberOf(value: Value): number {
  if (typeof value === "number") return value;
  throw new RangeError(`a quantity came to the text ${value}`);
}
