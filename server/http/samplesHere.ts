import type { StoredRecording } from "../store/store.ts";
import type { House } from "./house.ts";
import { placeWords } from "./placeWords.ts";
import { Problem } from "./problem.ts";
import { placeState } from "./recordingFiles.ts";

/**
 * Whoever reads samples asks for them first: in a fleet they may have to be fetched.
 *
 * @param patient As of `FleetSamples.here`.
 * @returns The recording as it is to be read here.
 * @throws Problem `samples-gone` where a file that is read in place is gone, or no longer what was hashed;
 *   `samples-elsewhere` where another server of the fleet has them.
 */
export async function samplesHere(
  { folder, fleetSamples }: Pick<House, "folder" | "fleetSamples">,
  recording: StoredRecording,
  patient?: AbortSignal,
): Promise<StoredRecording> {
  if (fleetSamples) return fleetSamples.here(recording, patient);
  const { place } = recording;
  const state = place ? await placeState(folder, place) : "there";
  if (place && state !== "there") throw new Problem("samples-gone", placeWords(place, state));
  return recording;
}
