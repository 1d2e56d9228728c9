export const PROJECTOR_SIZES = ["A", "A+", "A++"] as const;
export const PROJECTOR_CONTRASTS = ["as the pages", "black on white", "white on black"] as const;

/** How a board is shown on the wall. */
export interface Projector {
  readonly size: (typeof PROJECTOR_SIZES)[number];
  readonly contrast: (typeof PROJECTOR_CONTRASTS)[number];
}

export const DEFAULT_PROJECTOR: Projector = { size: "A", contrast: "as the pages" };

/** From text that this device kept; whatever does not fit falls back to its default. */
export function projectorFrom(text: string | null): Projector {
  const kept = objectFrom(text);
  return {
    size: PROJECTOR_SIZES.find((one) => one === kept["size"]) ?? DEFAULT_PROJECTOR.size,
    contrast: PROJECTOR_CONTRASTS.find((one) => one === kept["contrast"]) ?? DEFAULT_PROJECTOR.contrast,
  };
}

function objectFrom(text: string | null): Readonly<Record<string, unknown>> {
  if (text === null) return {};
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === "object" && value !== null ? { ...value } : {};
  } catch {
    return {};
  }
}
