/** What a receiver said of itself last. */
export interface Hello {
  readonly receiver: string;
  readonly boot?: string | undefined;
}

/**
 * The name under which the lines since one start of a receiver are kept. Empty for one that tells no boot.
 *
 * Several receivers may speak through one port, each in turn or at once, so its own name belongs to it.
 */
export function bootKey(hello: Hello | undefined): string {
  return hello?.boot === undefined ? "" : JSON.stringify([hello.boot, hello.receiver]);
}

/** The boot as the receiver told it; `null` where it told none. */
export function bootOfKey(key: string): string | null {
  const parts: unknown = key === "" ? undefined : JSON.parse(key);
  return Array.isArray(parts) && typeof parts[0] === "string" ? parts[0] : null;
}
