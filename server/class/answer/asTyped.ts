import type { Value } from "../drawn.ts";
import type { Answer } from "../exercise.ts";
import type { Given } from "./judge.ts";

/** Something that the tool found, as somebody would type it for an answer. */
export function asTyped(answer: Answer, found: Value): Given {
  if (answer.kind === "quantity") return `${found} ${answer.unit === "1" ? "" : answer.unit}`;
  return answer.kind === "order" || answer.kind === "choices" ? String(found).split(/,\s*/) : String(found);
}
