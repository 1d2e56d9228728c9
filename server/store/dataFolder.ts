import { mkdir } from "node:fs/promises";
import { homedir } from "node:os";
import { isAbsolute, join, resolve } from "node:path";
import { lockFolder } from "./folderLock.ts";
import { StoreError } from "./storeError.ts";

/** The folder that holds all that a server keeps. */
export interface DataFolder {
  readonly path: string;
  readonly databaseFile: string;
  /** Sample bytes, one file a recording, named as `recordingFile` says. */
  readonly recordingsDir: string;
  /** Uploads that are still coming in; what lies here after a crash is half a file, or an upload that can go on. */
  readonly incomingDir: string;
  /** Files that people put here themselves, to be read where they lie. */
  readonly inPlaceDir: string;
  /** Lets another server have the folder. */
  release(): Promise<void>;
}

/**
 * The data folder, made if it is not there, and held so that no second server takes it.
 *
 * The hold is a lock on `server.lock`, as of `lockFolder`.
 *
 * @param path `undefined` for the user's own data folder.
 * @throws StoreError `busy` while another server has the folder, `unreachable` if it cannot be made or written.
 */
export async function openDataFolder(path: string | undefined): Promise<DataFolder> {
  const folder = resolve(path ?? defaultDataFolder(process.platform, process.env, homedir()));
  const recordingsDir = join(folder, "recordings");
  const incomingDir = join(folder, "incoming");
  const inPlaceDir = join(folder, "in-place");
  try {
    // Job cards are in here: nobody else's business.
    await mkdir(folder, { recursive: true, mode: 0o700 });
    await mkdir(recordingsDir, { recursive: true });
    await mkdir(incomingDir, { recursive: true });
    await mkdir(inPlaceDir, { recursive: true });
  } catch (error) {
    throw unreachable(folder, error);
  }
  const lock = await lockFolder(folder, {
    name: "server",
    who: "another server",
    wayOut: "Stop that one, or give this one a folder of its own with --data.",
  }).catch((error: unknown) => {
    throw error instanceof StoreError ? error : unreachable(folder, error);
  });
  return {
    path: folder,
    databaseFile: join(folder, "wheelgram.db"),
    recordingsDir,
    incomingDir,
    inPlaceDir,
    release: lock.release,
  };
}

/** Where the sample bytes of a recording lie. */
export function recordingFile(folder: Pick<DataFolder, "recordingsDir">, hash: string): string {
  return join(folder.recordingsDir, `${hash}.sigmf-data`);
}

/**
 * Where a user's data belong.
 *
 * @source XDG Base Directory Specification 0.8: a relative XDG_DATA_HOME is passed over; Apple's File System Programming
 *   Guide, "Application Support"; Windows' known folder LocalAppData.
 */
export function defaultDataFolder(
  platform: NodeJS.Platform,
  env: Readonly<Record<string, string | undefined>>,
  home: string,
): string {
  switch (platform) {
    case "darwin":
      return join(home, "Library", "Application Support", "Wheelgram");
    case "win32":
      return join(env["LOCALAPPDATA"] || join(home, "AppData", "Local"), "Wheelgram");
    default: {
      const named = env["XDG_DATA_HOME"] ?? "";
      return join(isAbsolute(named) ? named : join(home, ".local", "share"), "wheelgram");
    }
  }
}

function unreachable(folder: string, error: unknown): StoreError {
  const why = error instanceof Error ? error.message : String(error);
  const wayOut = "See that you may write there, or choose another folder with --data.";
  return new StoreError("unreachable", folder, `cannot be used as the data folder (${why})`, wayOut, error);
}
