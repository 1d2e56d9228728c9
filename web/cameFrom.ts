/** The page from which a recording was opened, so that its own page can lead back however far one went in it. */
export interface CameFrom {
  readonly address: string;
  readonly words: string;
}

const KEY = "wheelgram.came-from";

/** Kept in this tab alone, and only for the recording that was opened last. */
export function keepCameFrom(hash: string, from: CameFrom): void {
  try {
    sessionStorage.setItem(KEY, JSON.stringify({ hash, ...from }));
  } catch {
    // A browser that keeps nothing has its own way back.
  }
}

/** `undefined` for a recording that was opened from elsewhere. */
export function cameFrom(hash: string): CameFrom | undefined {
  try {
    const kept: unknown = JSON.parse(sessionStorage.getItem(KEY) ?? "null");
    if (typeof kept !== "object" || kept === null) return undefined;
    const { hash: of, address, words } = kept as Readonly<Record<string, unknown>>;
    if (of !== hash || typeof address !== "string" || typeof words !== "string") return undefined;
    return address.startsWith("/studies/") ? { address, words } : undefined;
  } catch {
    return undefined;
  }
}
