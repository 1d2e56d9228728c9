import { homedir } from "node:os";
import { resolve } from "node:path";
import { printable } from "../recordings/inputError.ts";
import { makeBackup } from "../store/backup.ts";
import { defaultDataFolder, openDataFolder } from "../store/dataFolder.ts";
import { checkedBackup, restoreBackup, said, seeBackup } from "../store/restore.ts";
import { StoreError } from "../store/storeError.ts";
import type { Desk, Status } from "./desk.ts";

interface BackupArguments {
  readonly data?: string;
}

/** `wheelgram backup FILE`: all that is kept, in one file, also while the server runs. */
export function backup(desk: Desk, file: string, { data }: BackupArguments): Promise<Status> {
  return withoutStoreError(desk, async () => {
    const folder = data ?? defaultDataFolder(process.platform, process.env, homedir());
    const made = await makeBackup(resolve(folder), resolve(file), new Date().toISOString());
    await desk.write(`${printable(file)}: ${megabytes(made.bytes)}, ${held(made)}\n`);
    for (const name of made.elsewhere)
      desk.complain(`${printable(name)}: read where it lies, so its samples are not in it`);
    for (const name of made.gone)
      desk.complain(`${printable(name)}: taken away meanwhile, so its samples are not in it`);
    return 0;
  });
}

interface RestoreArguments extends BackupArguments {
  readonly replace?: true;
  readonly check?: true;
}

/** `wheelgram restore FILE`: a backup into a data folder that no server has, or only looked at. */
export function restore(desk: Desk, file: string, { data, replace, check }: RestoreArguments): Promise<Status> {
  return withoutStoreError(desk, async () => {
    await seeBackup(file);
    if (check) {
      const { madeAt, files, ...content } = said(await checkedBackup(resolve(file), undefined));
      await desk.write(`${printable(file)}: whole, made ${madeAt}, ${counted(files, "file")}: ${held(content)}\n`);
      return 0;
    }
    const folder = await openDataFolder(data);
    try {
      const name = `before-restore-${new Date().toISOString().replace(/[:.]/g, "-")}`;
      const done = await restoreBackup(resolve(file), folder, replace === true, name);
      await desk.write(`${folder.path}: as it was ${done.madeAt}, ${held(done)}\n`);
      if (done.before !== undefined) desk.complain(`What was there before lies in ${printable(done.before)}`);
      return 0;
    } finally {
      await folder.release();
    }
  });
}

async function withoutStoreError(desk: Desk, work: () => Promise<Status>): Promise<Status> {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof StoreError)) throw error;
    desk.complain(`wheelgram: ${error.message}`);
    // What was named cannot be read or is not allowed: 2. What failed on the way: 1.
    return error.code === "full" ? 1 : 2;
  }
}

function megabytes(bytes: number): string {
  return `${(bytes / 1e6).toFixed(1)} MB`;
}

function held({ recordings, studies }: { readonly recordings: number; readonly studies: number }): string {
  const rest = studies === 0 ? [] : [counted(studies, "study")];
  return [counted(recordings, "recording"), ...rest].join(", ");
}

function counted(count: number, what: string): string {
  return `${count} ${count === 1 ? what : what.replace(/y?$/, (y) => (y ? "ies" : "s"))}`;
}
