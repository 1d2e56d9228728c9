import type { Value } from "../drawn.ts";
import type { Answer } from "../exercise.ts";
import type { Given } from "./judge.ts";

/** What the tool found, as somebody would type it for an answer of that kind. */
export function toolAnswer(answer: Answer, found: Value): Given {
  if (answer.kind === "quantity") return answer.unit === "1" ? String(found) : `${found} ${answer.unit}`;
  return answer.kind === "order" || answer.kind === "choices" ? String(found).split(/,\s*/) : String(found);
}
