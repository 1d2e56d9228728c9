import type { StoredRecording } from "../store/store.ts";
import type { House } from "./house.ts";

/** Where receivers and recordings listened, each frequency once. */
export async function listenedHz(
  { hub }: House,
  receiverIds: readonly string[],
  recordings: readonly StoredRecording[],
  bursts: readonly { readonly carrierHz: number }[],
): Promise<number[]> {
  const receivers = (await hub.receivers()).filter(({ id }) => receiverIds.includes(id));
  const told = [
    ...receivers.flatMap(({ carrierHz }) => carrierHz),
    ...recordings.flatMap(({ captures }) =>
      captures.flatMap(({ carrierHz }) => (carrierHz === null ? [] : [carrierHz])),
    ),
  ];
  const known = told.length > 0 ? told : bursts.slice(0, 1).map(({ carrierHz }) => carrierHz);
  return [...new Set(known)];
}

/** `null` where nothing was recorded: a receiver's lines do not tell of what is not keyed. */
export function interfererShares(recordings: readonly StoredRecording[]): number[] | null {
  const summaries = recordings.flatMap(({ summary }) => (summary === null ? [] : [summary]));
  return summaries.length === 0 ? null : summaries.flatMap(({ interferers }) => interferers.map(({ share }) => share));
}
