import type { StoredPlace } from "../store/store.ts";

/** Why the samples of a recording that is read in place cannot be had, and what brings them back. */
export function placeWords({ path }: StoredPlace, state: "gone" | "changed"): string {
  if (state === "gone") return `${path} is no longer in the folder in-place. Put it back there as it was.`;
  return `${path} in the folder in-place has changed since it was opened. Open it again: if its samples are the same, all goes on; if not, it becomes a recording of its own.`;
}
