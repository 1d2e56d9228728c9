import type { DataFolder } from "../store/dataFolder.ts";
import type { StoredRecording } from "../store/store.ts";
import { placeWords } from "./placeWords.ts";
import { Problem } from "./problem.ts";
import { placeState } from "./recordingFiles.ts";

/** @throws Problem `samples-gone` where a file that is read in place is gone, or no longer what was hashed. */
export async function refuseWithoutSamples(
  folder: Pick<DataFolder, "inPlaceDir">,
  { place }: StoredRecording,
): Promise<void> {
  const state = place ? await placeState(folder, place) : "there";
  if (place && state !== "there") throw new Problem("samples-gone", placeWords(place, state));
}
