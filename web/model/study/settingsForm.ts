import { SAMPLE_TYPES, type SampleType } from "../../../decoders/sources.ts";

/** The settings of a study as JSON; the server holds them against its shape when something is begun with them. */
export type SettingsJson = Readonly<Record<string, unknown>>;

/** Files of raw samples by how their names end. */
export interface RawRule {
  readonly ending: string;
  readonly type: SampleType;
  readonly rateHz: number | null;
  readonly carrierHz: number | null;
}

/** What of the settings has a box of its own. */
export interface SettingsForm {
  readonly subfolders: boolean;
  readonly carrierHz: number | null;
  readonly raw: readonly RawRule[];
  /** Ids of the layouts that are tried. */
  readonly layouts: readonly string[];
}

/** What cannot be read as the boxes have it is left as the default has it. */
export function formOf(settings: SettingsJson): SettingsForm {
  const { subfolders, carrierHz, raw, layouts } = settings;
  return {
    subfolders: subfolders !== false,
    carrierHz: typeof carrierHz === "number" ? carrierHz : null,
    raw: Array.isArray(raw) ? raw.flatMap(ruleOf) : [],
    layouts: Array.isArray(layouts) ? layouts.flatMap(idOf) : [],
  };
}

/** The settings with what a box was changed to; what has no box stays. */
export function withChange(
  settings: SettingsJson,
  change: Partial<SettingsForm>,
  defaults: SettingsJson,
): SettingsJson {
  const { layouts, ...rest } = change;
  if (layouts === undefined) return { ...settings, ...rest };
  // A layout that is put back has the version and the hash that it has now.
  const known = [settings["layouts"], defaults["layouts"]].flatMap((list) => (Array.isArray(list) ? list : []));
  const order = Array.isArray(defaults["layouts"]) ? defaults["layouts"].flatMap(idOf) : [];
  const ids = [...order.filter((id) => layouts.includes(id)), ...layouts.filter((id) => !order.includes(id))];
  const chosen = ids.flatMap((id) => known.filter((one) => idOf(one)[0] === id).slice(0, 1));
  return { ...settings, ...rest, layouts: chosen };
}

/** A settings file that somebody brought, with the defaults for what it leaves out; or why it is none. */
export function settingsFrom(
  text: string,
  defaults: SettingsJson,
): { readonly ok: true; readonly settings: SettingsJson } | { readonly ok: false; readonly says: string } {
  try {
    const read: unknown = JSON.parse(text);
    if (typeof read !== "object" || read === null || Array.isArray(read)) return { ok: false, says: NO_SETTINGS };
    // The title has a box of its own.
    const { title: _, ...settings } = Object.fromEntries(Object.entries(read));
    return { ok: true, settings: { ...defaults, ...settings } };
  } catch {
    return { ok: false, says: NO_SETTINGS };
  }
}

const NO_SETTINGS = "That file holds no settings. Choose the settings.json of a study, or a file that you wrote.";

/** As the file will be frozen. */
export function settingsText(settings: SettingsJson, title: string): string {
  return JSON.stringify({ title, ...settings }, undefined, 2);
}

/** Which settings are not as they come, by name. */
export function changedKeys(settings: SettingsJson, defaults: SettingsJson): readonly string[] {
  const keys = new Set([...Object.keys(settings), ...Object.keys(defaults)]);
  return [...keys].filter((key) => JSON.stringify(settings[key]) !== JSON.stringify(defaults[key]));
}

function ruleOf(rule: unknown): RawRule[] {
  if (typeof rule !== "object" || rule === null) return [];
  const { ending, type, rateHz, carrierHz } = rule as Readonly<Record<string, unknown>>;
  return [
    {
      ending: typeof ending === "string" ? ending : "",
      type: SAMPLE_TYPES.find((one) => one === type) ?? "cu8",
      rateHz: typeof rateHz === "number" ? rateHz : null,
      carrierHz: typeof carrierHz === "number" ? carrierHz : null,
    },
  ];
}

function idOf(layout: unknown): string[] {
  if (typeof layout !== "object" || layout === null || !("id" in layout)) return [];
  return typeof layout.id === "string" ? [layout.id] : [];
}
