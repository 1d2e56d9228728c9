import { z } from "zod";

/** Of the file's own form; the store in it has a version of its own. Since version 2 it holds studies. */
export const BACKUP_VERSION = 2;
/** Names of its members: the store first, recordings after it, and last what all of them should be. */
export const DATABASE = "wheelgram.db";
export const RECORDINGS = "recordings";
/** Receivers that are set up by a file, where there is one. */
export const RECEIVERS = "receivers.json";
export const STUDIES = "studies";
/** What a backup may hold beside its list. No part of a name begins with a dot, so that none leads out of the folder. */
export const MEMBER =
  /^(wheelgram\.db|receivers\.json|recordings\/[0-9a-f]{128}\.(json|sigmf-meta|sigmf-data)|studies(\/[^./\\\p{C}][^/\\\p{C}]*){2,5})$/u;
export const CONTENTS = "backup.json";

export const BackupContents = z.strictObject({
  version: z.literal([1, BACKUP_VERSION]),
  storeVersion: z.int().min(1),
  madeAt: z.iso.datetime({ offset: true }),
  sha256: z.record(z.string().regex(MEMBER), z.string().regex(/^[0-9a-f]{64}$/)),
});
export type BackupContents = z.infer<typeof BackupContents>;
