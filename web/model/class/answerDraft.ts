import type { AskedBody } from "../../../server/http/wire/exercises.ts";

/** What somebody has entered so far: a text, the one that was chosen, several, or an order. */
export type AnswerDraft = string | readonly string[];

/** What stands in the box at first: nothing, but an order has to begin with one. */
export function emptyDraft(asked: AskedBody): AnswerDraft {
  switch (asked.kind) {
    case "choices":
      return [];
    case "order":
      return asked.options.map(({ id }) => id);
    default:
      return "";
  }
}

/** The answer to send; `undefined` as long as there is none. */
export function answerOf(asked: AskedBody, draft: AnswerDraft): string | string[] | undefined {
  if (typeof draft !== "string") return draft.length === 0 ? undefined : [...draft];
  const text = draft.trim();
  if (text === "") return undefined;
  // Nothing but a number is in the unit that is asked for; whoever writes another unit means it.
  const isBare = asked.kind === "quantity" && asked.unit !== "1" && /[\d.]$/.test(text);
  return isBare ? `${text} ${asked.unit}` : text;
}

/** One more of several, or one less; as they stand in the list. */
export function toggled(asked: AskedBody, draft: AnswerDraft, id: string): readonly string[] {
  const chosen = new Set(typeof draft === "string" ? [] : draft);
  if (!chosen.delete(id)) chosen.add(id);
  return "options" in asked ? asked.options.map((option) => option.id).filter((one) => chosen.has(one)) : [];
}

/** An order with one moved up (−1) or down (1); the same at either end. */
export function moved(order: readonly string[], id: string, by: -1 | 1): readonly string[] {
  const at = order.indexOf(id);
  const to = at + by;
  if (at < 0 || to < 0 || to >= order.length) return order;
  const all = [...order];
  all.splice(at, 1);
  all.splice(to, 0, id);
  return all;
}

/** A unit as it is shown beside a box. */
export function unitShown(unit: string): string {
  if (unit === "1") return "";
  if (unit === "degC") return "°C";
  if (unit === "degF") return "°F";
  return unit.replace(/^u/, "µ").replace("dBu", "dBµ").replace("mohm", "mΩ").replace("ohm", "Ω");
}

/** How an answer of that kind is written. */
export function answerHint(asked: AskedBody): string {
  switch (asked.kind) {
    case "quantity":
      return asked.unit === "1"
        ? "A number."
        : `A number in ${unitShown(asked.unit)}. Another unit of its kind may stand behind it.`;
    case "bits":
      return "Zeros and ones. Spaces count nothing.";
    case "hex":
      return "Hex digits. Spaces and case count nothing.";
    case "words":
      return "A word or a few.";
    case "choice":
      return "One of these.";
    case "choices":
      return "All that hold, and no other.";
    case "order":
      return "Put them in order: the first at the top.";
  }
}
