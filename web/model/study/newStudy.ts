import type { InPlaceBody, RecordingBody } from "../../../server/http/wire.ts";
import { type Chosen, chosenFiles, NOTHING_CHOSEN } from "./chosen.ts";
import { changedKeys, type SettingsJson } from "./settingsForm.ts";

/** A study before it begins, as its form has it. */
export interface NewStudy {
  readonly title: string;
  readonly chosen: Chosen;
  readonly settings: SettingsJson;
}

/** What the house has at this moment. */
export interface AtHand {
  readonly defaults: SettingsJson;
  readonly recordings: readonly Pick<RecordingBody, "hash">[];
  readonly files: readonly Pick<InPlaceBody, "path">[];
}

export function emptyStudy({ defaults }: Pick<AtHand, "defaults">): NewStudy {
  return { title: "", chosen: NOTHING_CHOSEN, settings: defaults };
}

/** The form as text to be kept, of the settings only what was changed; `null` where nothing was. */
export function studyDraftText({ title, chosen, settings }: NewStudy, defaults: SettingsJson): string | null {
  const changed = Object.fromEntries(changedKeys(settings, defaults).map((key) => [key, settings[key]]));
  const isEmpty = title === "" && chosen.hashes.length + chosen.paths.length + Object.keys(changed).length === 0;
  return isEmpty ? null : JSON.stringify({ title, chosen, changed });
}

/** The form as it was kept, without what has gone since; an empty one where nothing that can be read was kept. */
export function studyFromDraft(text: string | null, atHand: AtHand): NewStudy {
  const { defaults, recordings, files } = atHand;
  const empty = emptyStudy(atHand);
  try {
    const kept = object(JSON.parse(text ?? "null"));
    const { title } = kept;
    const { hashes, paths } = object(kept["chosen"]);
    const known = new Set(recordings.map(({ hash }) => hash));
    const isThere = (path: string) => chosenFiles({ hashes: [], paths: [path] }, files) > 0;
    return {
      title: typeof title === "string" ? title : "",
      chosen: { hashes: texts(hashes).filter((hash) => known.has(hash)), paths: texts(paths).filter(isThere) },
      settings: { ...defaults, ...object(kept["changed"]) },
    };
  } catch {
    return empty;
  }
}

function object(value: unknown): Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null ? Object.fromEntries(Object.entries(value)) : {};
}

function texts(value: unknown): readonly string[] {
  return Array.isArray(value) ? value.filter((one) => typeof one === "string") : [];
}
