import { createContext } from "preact";

/** Which bands of the page are folded away to their sentence. */
export interface Bands {
  readonly hidden: readonly string[];
  readonly setHidden: (names: readonly string[]) => void;
}

export const BandsContext = createContext<Bands>({ hidden: [], setHidden: () => undefined });
