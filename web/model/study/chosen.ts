import type { StudySourceBody } from "../../../server/http/wire/studies.ts";
import type { InPlaceBody } from "../../../server/http/wire.ts";

/** What is to go into a study. */
export interface Chosen {
  /** Hashes of recordings. */
  readonly hashes: readonly string[];
  /** Files and folders below the folder in-place. */
  readonly paths: readonly string[];
}

export const NOTHING_CHOSEN: Chosen = { hashes: [], paths: [] };

export function sourcesOf({ hashes, paths }: Chosen): readonly StudySourceBody[] {
  return [
    ...hashes.map((hash): StudySourceBody => ({ kind: "recording", hash })),
    ...topmost(paths).map((path): StudySourceBody => ({ kind: "in-place", path })),
  ];
}

/** How many files that is, as far as it can be told before they are read. */
export function chosenFiles({ hashes, paths }: Chosen, files: readonly Pick<InPlaceBody, "path">[]): number {
  const inside = files.filter((file) => paths.some((path) => file.path === path || file.path.startsWith(`${path}/`)));
  return hashes.length + inside.length;
}

/** Without those that lie in a folder that is chosen itself. */
function topmost(paths: readonly string[]): readonly string[] {
  return paths.filter((path) => !paths.some((above) => path.startsWith(`${above}/`)));
}
