import type { SetDraft } from "./setDraft.ts";

/** A draft that this device kept, and the revision that it was made on; `undefined` where there is none. */
export function keptSetDraft(text: string | null): { readonly revision: number; readonly draft: SetDraft } | undefined {
  if (text === null) return undefined;
  try {
    const kept = JSON.parse(text) as { version?: unknown; revision?: unknown; draft?: unknown };
    const { version, revision, draft } = kept;
    if (version !== 1 || typeof revision !== "number" || !isDraft(draft)) return undefined;
    return { revision, draft };
  } catch {
    return undefined; // cut short, or written by something else
  }
}

/** Only this page writes it: its outline tells it from anything else. */
function isDraft(value: unknown): value is SetDraft {
  if (typeof value !== "object" || value === null) return false;
  const { title, exercises } = value as { title?: unknown; exercises?: unknown };
  return typeof title === "string" && Array.isArray(exercises) && exercises.every(isExercise);
}

function isExercise(value: unknown): boolean {
  if (typeof value !== "object" || value === null) return false;
  const { json, hints, options, wrong } = value as Readonly<Record<string, unknown>>;
  return typeof json === "object" && json !== null && [hints, options, wrong].every(Array.isArray);
}
