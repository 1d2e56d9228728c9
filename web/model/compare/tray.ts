import { compareSearch, MOST_PICKS, type Pick } from "./address.ts";

/** Something that was put aside to be compared, with words to know it again by. */
export interface TrayEntry extends Pick {
  readonly words: string;
}

export type Tray = readonly TrayEntry[];

/** The tray as the device kept it; whatever cannot be read is an empty one. */
export function trayFrom(text: string | null): Tray {
  try {
    const kept: unknown = JSON.parse(text ?? "[]");
    return Array.isArray(kept) ? kept.flatMap((one: unknown) => entryFrom(one) ?? []).slice(0, MOST_PICKS) : [];
  } catch {
    return []; // somebody else wrote there
  }
}

export function trayText(tray: Tray): string {
  return JSON.stringify(tray);
}

export function isOnTray(tray: Tray, pick: Pick): boolean {
  return tray.some((entry) => isSamePick(entry, pick));
}

/** On it, or off it again; a full tray takes no more. */
export function toggled(tray: Tray, entry: TrayEntry): Tray {
  if (isOnTray(tray, entry)) return tray.filter((one) => !isSamePick(one, entry));
  return tray.length >= MOST_PICKS ? tray : [...tray, entry];
}

/** Where the tray is compared; `undefined` for fewer than two. */
export function trayAddress(tray: Tray): string | undefined {
  if (tray.length < 2) return undefined;
  return `/compare${compareSearch({ picks: tray, align: "sync", offsetsSeconds: [], range: undefined })}`;
}

function isSamePick(a: Pick, b: Pick): boolean {
  return a.hash === b.hash && a.frame === b.frame;
}

function entryFrom(value: unknown): TrayEntry | undefined {
  if (typeof value !== "object" || value === null) return undefined;
  if (!("hash" in value) || !("words" in value)) return undefined;
  const { hash, words } = value;
  const frame = "frame" in value ? value.frame : undefined;
  if (typeof hash !== "string" || typeof words !== "string" || !/^[0-9a-f]{16,128}$/.test(hash)) return undefined;
  return { hash, words, frame: typeof frame === "string" ? frame : undefined };
}
