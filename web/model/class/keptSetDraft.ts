import type { SetDraft } from "./setDraft.ts";

interface KeptSetDraft {
  /** That it was made on. */
  readonly revision: number;
  readonly draft: SetDraft;
  /** The file that was last sent, as text: what the server has by now may be this page's own. */
  readonly sent?: string;
}

/** A draft that this device kept; `undefined` where there is none. */
export function keptSetDraft(text: string | null): KeptSetDraft | undefined {
  if (text === null) return undefined;
  try {
    const kept = JSON.parse(text) as { version?: unknown; revision?: unknown; draft?: unknown; sent?: unknown };
    const { version, revision, draft, sent } = kept;
    if (version !== 1 || typeof revision !== "number" || !isDraft(draft)) return undefined;
    return { revision, draft, ...(typeof sent === "string" ? { sent } : {}) };
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
