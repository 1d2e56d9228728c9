import type { ProblemBody } from "../../server/http/wire.ts";

export type JsonText =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: false; readonly problem: Pick<ProblemBody, "title" | "status" | "detail" | "nextSteps"> };

/** The JSON value of a file's text, or what keeps it from being one. What it means the server checks. */
export function jsonFromText(text: string): JsonText {
  try {
    return { ok: true, value: JSON.parse(text) };
  } catch (error) {
    return {
      ok: false,
      problem: {
        title: "This is not JSON",
        status: 0,
        detail: error instanceof Error ? error.message : String(error),
        nextSteps: ["Look at that place in the file: a comma, a quote or a bracket is missing or too many."],
      },
    };
  }
}
